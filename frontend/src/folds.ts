import { afterEverySwap } from "./swaps";

const phone = matchMedia("(max-width: 700px)");
const chosen = new Map<string, boolean>();
let printing = false;

/**
 * Sections (`details.fold`) are open on a desk and folded under their verdict on a phone; tables (`details.as-table`)
 * are closed. What a person has opened or closed stays so when the page is refreshed around it. Paper shows sections.
 */
export function keepFolds(): void {
  document.addEventListener("click", (event) => {
    const summary = event.target instanceof Element ? event.target.closest("summary") : null;
    const details = summary?.parentElement;
    if (details instanceof HTMLDetailsElement && details.id) chosen.set(details.id, !details.open);
  });
  phone.addEventListener("change", fold);
  addEventListener("beforeprint", () => print(true));
  addEventListener("afterprint", () => print(false));
  afterEverySwap(fold);
}

function print(now: boolean): void {
  printing = now;
  fold();
}

function fold(): void {
  for (const details of document.querySelectorAll<HTMLDetailsElement>("details.fold[id], details.as-table[id]")) {
    const section = details.classList.contains("fold");
    const open = section && (printing || !phone.matches) ? true : (chosen.get(details.id) ?? false);
    if (details.open !== open) details.open = open;
  }
}
