import { isSearch, takeFirst } from "./finding";
import { placePieces } from "./pieces";
import { afterEverySwap } from "./swaps";

const PATIENCE_MS = 700;
const QUIET_MS = 900;
let said = "";
let later: ReturnType<typeof setTimeout> | undefined;

/**
 * While one types on the recipe page: marks when it was typed (answers may overtake each other), puts what cannot be
 * read beneath its field, keeps the focus where it is, and says the outcome aloud once the fingers rest.
 */
export function followTyping(): void {
  const form = document.getElementById("recipe");
  if (!(form instanceof HTMLFormElement)) return;
  form.addEventListener("input", noteTheMoment, { capture: true });
  form.addEventListener("keydown", enterStays);
  form.addEventListener("focusout", () => requestAnimationFrame(() => placeFaults(true)));
  placePieces(() => {
    placeFaults(false);
    sayLater();
  });
  keepFocus();
  if (document.readyState === "complete") catchUp(form);
  else addEventListener("load", () => catchUp(form), { once: true });
}

/** What was typed before the page could listen is worked out now. */
function catchUp(form: HTMLFormElement): void {
  const typed = [...form.elements].find(
    (field) =>
      (field instanceof HTMLTextAreaElement || (field instanceof HTMLInputElement && field.type === "text")) &&
      !isSearch(field) &&
      field.value !== field.defaultValue,
  );
  setTimeout(() => typed?.dispatchEvent(new Event("input", { bubbles: true })));
}

/** Enter in a field works the recipe out where it stands; it neither sends the page nor breaks the line of the title. */
function enterStays(event: KeyboardEvent): void {
  const field = event.target;
  const line = field instanceof HTMLInputElement || (field instanceof HTMLTextAreaElement && field.classList.contains("title-field"));
  if (event.key !== "Enter" || event.isComposing || !line) return;
  event.preventDefault();
  if (isSearch(field)) takeFirst(field);
  else field.dispatchEvent(new Event("input", { bubbles: true }));
}

/** When it was typed, and which width of each figure is shown, so that only that one is drawn. */
function noteTheMoment(): void {
  note("typed-at", String(Date.now()));
  const figure = document.querySelector("#face .fig:not(.map .fig)");
  note("figure-width", figure === null ? "" : figure.clientWidth >= 560 ? "wide" : "narrow");
  note("glass-width", matchMedia("(max-width: 700px)").matches ? "narrow" : "wide");
}

function note(id: string, text: string): void {
  const field = document.getElementById(id);
  if (field instanceof HTMLInputElement) field.value = text;
}

/** The server lists what cannot be read; a field that is being typed in is given a moment first. */
function placeFaults(now: boolean): void {
  const listed = new Map<string, HTMLElement>();
  for (const item of document.querySelectorAll<HTMLElement>("#faults > li[data-for]")) listed.set(item.dataset["for"] ?? "", item);
  for (const place of document.querySelectorAll<HTMLElement>("[data-fault]")) {
    const name = place.dataset["fault"] ?? "";
    const fault = listed.get(name);
    const field = document.getElementById(name) ?? document.querySelector<HTMLElement>(`[name="${CSS.escape(name)}"]`);
    const typing = !now && fault !== undefined && place.childElementCount === 0 && field === document.activeElement;
    if (typing) setTimeout(() => placeFaults(true), PATIENCE_MS);
    else show(place, field, fault);
  }
}

function show(place: HTMLElement, field: HTMLElement | null, fault: HTMLElement | undefined): void {
  const words = fault?.innerHTML ?? "";
  if (place.innerHTML !== words) place.innerHTML = words;
  if (field === null) return;
  const wrong = fault !== undefined && !("waiting" in fault.dataset);
  if (wrong) field.setAttribute("aria-invalid", "true");
  else field.removeAttribute("aria-invalid");
}

/** One polite sentence, not one for every number: the key readings and the worst of what to mind. */
function sayLater(): void {
  clearTimeout(later);
  later = setTimeout(() => {
    const aloud = document.getElementById("aloud");
    const words = document.querySelector<HTMLElement>("[data-aloud]")?.dataset["aloud"] ?? "";
    if (aloud === null || words === said) return;
    aloud.textContent = said = words;
  }, QUIET_MS);
}

/** What has the focus inside a refreshed part gets it back, found by its id. */
function keepFocus(): void {
  let held = "";
  document.addEventListener("focusin", (event) => {
    held = event.target instanceof Element ? event.target.id || event.target.getAttribute("aria-controls") || "" : "";
  });
  document.addEventListener("focusout", (event) => {
    const left = event.target;
    queueMicrotask(() => {
      if (left instanceof Element && left.isConnected && document.activeElement === document.body) held = "";
    });
  });
  afterEverySwap(() => {
    if (held === "" || document.activeElement !== document.body) return;
    const again = document.getElementById(held);
    (again?.matches("input, select, textarea, a, button") ? again : document.querySelector<HTMLElement>(`[aria-controls="${CSS.escape(held)}"]`))?.focus({ preventScroll: true });
  });
}
