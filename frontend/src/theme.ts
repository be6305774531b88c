const YEAR_S = 31_536_000;

/** The `.theme` button turns light to dark and back; a cookie lets the server write the choice into the next page. */
export function switchTheme(): void {
  document.addEventListener("click", (event) => {
    if (!(event.target instanceof Element) || event.target.closest(".theme") === null) return;
    const root = document.documentElement;
    const dark = root.dataset["theme"] ?? (matchMedia("(prefers-color-scheme: dark)").matches ? "dark" : "light");
    const chosen = dark === "dark" ? "light" : "dark";
    root.dataset["theme"] = chosen;
    document.cookie = `theme=${chosen}; path=/; max-age=${YEAR_S}; samesite=lax`;
  });
}
