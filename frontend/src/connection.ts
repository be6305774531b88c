const SILENT = "Kettleglass does not answer: what you type now is not kept";
const AGAIN_MS = 2000;
let silent = false;
let unsent = false;
let again: ReturnType<typeof setTimeout> | undefined;

/**
 * Says at the top of the page when the program behind it has gone, since nothing typed is kept then; asks again until
 * it answers, and warns before what is not kept is left.
 */
export function noticeSilence(): void {
  document.addEventListener("htmx:error", (event) => {
    const error: unknown = event instanceof CustomEvent ? event.detail?.error : undefined;
    if (error instanceof DOMException && error.name === "AbortError") return;
    const saved = document.getElementById("saved");
    if (saved !== null) fallSilent(saved);
  });
  document.addEventListener("htmx:after:request", (event) => {
    const status: unknown = event instanceof CustomEvent ? event.detail?.ctx?.response?.status : undefined;
    if (event.target === recipe() && status === 200) unsent = false;
    if (status === 200) document.getElementById("saved")?.classList.remove("bad");
    hearAgain();
  });
  recipe()?.addEventListener("input", () => (unsent = true), { capture: true });
  addEventListener("beforeunload", (event) => {
    if (silent && unsent) event.preventDefault();
  });
}

function recipe(): HTMLElement | null {
  return document.getElementById("recipe");
}

/** The last request of the recipe is sent once more a little later; each that fails comes back here. */
function fallSilent(saved: HTMLElement): void {
  saved.textContent = SILENT;
  saved.classList.add("bad");
  clearTimeout(again);
  again = setTimeout(() => recipe()?.dispatchEvent(new Event("input", { bubbles: true })), AGAIN_MS);
  if (silent) return;
  silent = true;
  document.documentElement.classList.add("silent");
  const banner = document.createElement("div");
  banner.className = "silence";
  banner.setAttribute("role", "alert");
  banner.textContent = `${SILENT}. It is asked again every ${AGAIN_MS / 1000} seconds; leave this page open.`;
  document.body.prepend(banner);
}

function hearAgain(): void {
  if (!silent) return;
  silent = false;
  clearTimeout(again);
  document.documentElement.classList.remove("silent");
  document.querySelector(".silence")?.remove();
  if (unsent) recipe()?.dispatchEvent(new Event("input", { bubbles: true }));
}

/** What the page says once (“Saved”), and where it put the focus, is not said again when it is loaded anew. */
export function sayOnlyOnce(): void {
  const address = new URL(location.href);
  const before = address.search;
  for (const once of ["said", "focus"]) address.searchParams.delete(once);
  if (address.search !== before) history.replaceState(null, "", address);
}
