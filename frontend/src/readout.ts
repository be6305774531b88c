const REACH_PX = 24;
const MARKS = "svg.g :is(circle, path, rect):has(> title)";

/** Says beneath a figure (`.said-here`) what is under the pointer or the finger: the words in the mark's own title. */
export function sayWhatIsUnderThePointer(): void {
  for (const kind of ["pointermove", "pointerdown"] as const) {
    document.addEventListener(kind, (event) => say(event), { passive: true });
  }
}

function say(event: PointerEvent): void {
  const figure = event.target instanceof Element ? event.target.closest(".fig") : null;
  const line = figure?.querySelector<HTMLElement>(".said-here");
  if (!figure || !line) return;
  const words = under(event) ?? nearest(figure, event.clientX, event.clientY);
  if (line.textContent !== words) line.textContent = words;
}

function under(event: PointerEvent): string | null {
  const mark = event.target instanceof Element ? event.target.closest(MARKS) : null;
  return mark === null ? null : titleOf(mark);
}

function nearest(figure: Element, x: number, y: number): string {
  let found = "";
  let reach = REACH_PX;
  for (const mark of figure.querySelectorAll(MARKS)) {
    const box = mark.getBoundingClientRect();
    if (box.width === 0 || box.width > 4 * REACH_PX) continue;
    const away = Math.hypot(x - (box.left + box.right) / 2, y - (box.top + box.bottom) / 2);
    if (away < reach) [found, reach] = [titleOf(mark), away];
  }
  return found;
}

function titleOf(mark: Element): string {
  return mark.querySelector(":scope > title")?.textContent ?? "";
}
