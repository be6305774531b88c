let stale: HTMLInputElement | undefined;
let wanted: HTMLInputElement | undefined;

/**
 * “Add …” puts the focus into its search. Enter there takes the first of what is offered, once that is the answer to
 * what has been typed.
 */
export function followFinding(): void {
  document.addEventListener("toggle", (event) => {
    const details = event.target;
    if (details instanceof HTMLDetailsElement && details.open && details.matches(".add")) details.querySelector<HTMLInputElement>(".find input")?.focus();
  }, { capture: true });
  document.addEventListener("input", (event) => {
    wanted = undefined;
    if (isSearch(event.target)) stale = event.target;
  }, { capture: true });
  document.addEventListener("htmx:finally:request", (event) => {
    const field = event.target;
    if (!isSearch(field) || !(event instanceof CustomEvent)) return;
    const asked = new URL(String(event.detail?.ctx?.request?.action), location.href).searchParams.get(field.name);
    if (asked !== field.value) return;
    if (stale === field) stale = undefined;
    if (wanted === field) takeFirst(field);
  });
}

export function isSearch(field: EventTarget | null): field is HTMLInputElement {
  return field instanceof HTMLInputElement && field.closest(".add .find") !== null;
}

/** Adds the first material offered; where the answer is still on its way, when it is there. */
export function takeFirst(field: HTMLInputElement): void {
  wanted = stale === field ? field : undefined;
  if (wanted !== undefined || field.value.trim() === "") return;
  field.closest(".add")?.querySelector<HTMLButtonElement>(".offers button")?.click();
}
