/** A button marked `data-print` prints the page. */
export function printOnDemand(): void {
  document.addEventListener("click", (event) => {
    if (event.target instanceof Element && event.target.closest("[data-print]")) print();
  });
}
