const SILENT = "Kettleglass does not answer: what you type now is not kept";

/** Says at the top of the page when the program behind it has gone, since nothing typed is kept then. */
export function noticeSilence(): void {
  document.addEventListener("htmx:error", (event) => {
    const error: unknown = event instanceof CustomEvent ? event.detail?.error : undefined;
    if (error instanceof DOMException && error.name === "AbortError") return;
    const saved = document.getElementById("saved");
    if (saved === null) return;
    saved.textContent = SILENT;
    saved.classList.add("bad");
  });
  document.addEventListener("htmx:after:request", (event) => {
    const status: unknown = event instanceof CustomEvent ? event.detail?.ctx?.response?.status : undefined;
    if (status === 200) document.getElementById("saved")?.classList.remove("bad");
  });
}

/** What the page says once (“Saved”), and where it put the focus, is not said again when it is loaded anew. */
export function sayOnlyOnce(): void {
  const address = new URL(location.href);
  const before = address.search;
  for (const once of ["said", "focus"]) address.searchParams.delete(once);
  if (address.search !== before) history.replaceState(null, "", address);
}
