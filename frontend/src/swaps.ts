/** Runs `again` at once and after every change of the page's elements, before the browser paints. */
export function afterEverySwap(again: () => void): void {
  again();
  new MutationObserver(again).observe(document.body, { childList: true, subtree: true });
}
