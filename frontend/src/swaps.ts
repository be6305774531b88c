/**
 * Runs `again` at once, and after every change of the page's elements or settling of a refreshed part: once a frame,
 * before the browser paints.
 */
export function afterEverySwap(again: () => void): void {
  let asked = false;
  const soon = (): void => {
    if (asked) return;
    asked = true;
    requestAnimationFrame(() => {
      asked = false;
      again();
    });
  };
  again();
  new MutationObserver(soon).observe(document.body, { childList: true, subtree: true });
  document.addEventListener("htmx:after:settle", soon);
}
