import { afterEverySwap } from "./swaps";

const opened = new Set(
  [...document.querySelectorAll('.n[aria-expanded="true"]')].map((asked) => asked.getAttribute("aria-controls") ?? ""),
);

/**
 * A number that can be asked (`.n[aria-controls]`) opens its working beneath the line; it stays open over a refresh.
 * Only the workings that are open are in the page: the field `#opened` names them, and the form asks for what is not
 * there yet. Without a script the button asks the server, which answers with it open.
 */
export function openWorkings(): void {
  document.addEventListener("click", (event) => {
    const asked = event.target instanceof Element ? event.target.closest<HTMLElement>(".n[aria-controls]") : null;
    const id = asked?.getAttribute("aria-controls");
    if (!id) return;
    event.preventDefault();
    if (!opened.delete(id)) opened.add(id);
    const fromDock = asked?.closest(".dock") !== null;
    if (opened.has(id) && document.getElementById(id) === null) askFor(id, fromDock);
    else showOpened();
  });
  document.addEventListener("keydown", (event) => {
    if (event.key !== "Escape" || !(event.target instanceof Element)) return;
    const id = event.target.closest(".work")?.id ?? event.target.getAttribute("aria-controls");
    if (id && opened.delete(id)) {
      showOpened();
      document.querySelector<HTMLElement>(`.n[aria-controls="${CSS.escape(id)}"]`)?.focus();
    }
  });
  afterEverySwap(showOpened);
}

/** The page is refreshed with that working in it; asked from the dock, it is brought into view. */
function askFor(id: string, intoView: boolean): void {
  const field = document.getElementById("opened");
  if (!(field instanceof HTMLInputElement)) return;
  showOpened();
  field.dispatchEvent(new Event("input", { bubbles: true }));
  if (!intoView) return;
  const seen = new MutationObserver(() => {
    const work = document.getElementById(id);
    if (work === null) return;
    seen.disconnect();
    work.scrollIntoView({ block: "center" });
  });
  seen.observe(document.body, { childList: true, subtree: true });
}

function showOpened(): void {
  const field = document.getElementById("opened");
  if (field instanceof HTMLInputElement) field.value = [...opened].join(" ");
  for (const asked of document.querySelectorAll<HTMLElement>(".n[aria-controls]")) {
    const open = String(opened.has(asked.getAttribute("aria-controls") ?? ""));
    if (asked.getAttribute("aria-expanded") !== open) asked.setAttribute("aria-expanded", open);
  }
  for (const work of document.querySelectorAll<HTMLElement>(".work[id]")) {
    if (work.hidden === opened.has(work.id)) work.hidden = !opened.has(work.id);
  }
}
