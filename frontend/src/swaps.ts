/**
 * Runs `again` at once, after every change of the page's elements before the browser paints, and once more when a
 * refreshed part has settled, since its attributes are then written anew.
 */
export function afterEverySwap(again: () => void): void {
  again();
  new MutationObserver(again).observe(document.body, { childList: true, subtree: true });
  document.addEventListener("htmx:after:settle", again);
}
