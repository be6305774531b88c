import { afterEverySwap } from "./swaps";

const opened = new Set(
  [...document.querySelectorAll('.n[aria-expanded="true"]')].map((asked) => asked.getAttribute("aria-controls") ?? ""),
);

/**
 * A number that can be asked (`.n[aria-controls]`) opens its working beneath the line; it stays open over a refresh.
 * What the server sent open is open. Without a script the button asks the server, so it may be one that submits.
 */
export function openWorkings(): void {
  document.addEventListener("click", (event) => {
    const asked = event.target instanceof Element ? event.target.closest<HTMLElement>(".n[aria-controls]") : null;
    const id = asked?.getAttribute("aria-controls");
    const work = id ? document.getElementById(id) : null;
    if (!id || work === null) return;
    event.preventDefault();
    if (!opened.delete(id)) opened.add(id);
    showOpened();
    if (opened.has(id) && asked?.closest(".dock")) work.scrollIntoView({ block: "center" });
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

function showOpened(): void {
  for (const asked of document.querySelectorAll<HTMLElement>(".n[aria-controls]")) {
    const id = asked.getAttribute("aria-controls") ?? "";
    const open = String(opened.has(id));
    if (asked.getAttribute("aria-expanded") !== open) asked.setAttribute("aria-expanded", open);
    const work = document.getElementById(id);
    if (work !== null && work.hidden === opened.has(id)) work.hidden = !opened.has(id);
  }
}
