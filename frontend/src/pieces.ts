/**
 * The answer to a keystroke brings, beside the results, many small pieces for all over the page in one container
 * (`#pieces > [data-piece=id]`). Each goes to the element of that id, but only where it differs from what is there, so
 * that nothing is laid out anew that has not changed. Then `then` runs.
 */
export function placePieces(then: () => void): void {
  const container = document.getElementById("pieces");
  if (container === null) return;
  new MutationObserver(() => {
    if (container.childElementCount === 0) return;
    for (const piece of container.querySelectorAll<HTMLElement>(":scope > [data-piece]")) place(piece);
    container.replaceChildren();
    then();
  }).observe(container, { childList: true });
}

function place(piece: HTMLElement): void {
  const there = document.getElementById(piece.dataset["piece"] ?? "");
  if (there !== null && there.innerHTML !== piece.innerHTML) there.replaceChildren(...piece.childNodes);
}
