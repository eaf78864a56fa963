/** Paper by day, slate by night: what the system asks for, unless this browser was told otherwise. */
export type Theme = "system" | "light" | "dark";

const KEY = "lastbolt.theme";

/** The theme kept in this browser; "system" where none is, or where the browser keeps nothing. */
export function keptTheme(): Theme {
  try {
    const kept = localStorage.getItem(KEY);
    return kept === "light" || kept === "dark" ? kept : "system";
  } catch {
    return "system";
  }
}

/** Shows a theme, and keeps it for the next visit when one is given. */
export function applyTheme(theme?: Theme): void {
  const shown = theme ?? keptTheme();
  if (shown === "system") delete document.documentElement.dataset.theme;
  else document.documentElement.dataset.theme = shown;
  if (theme === undefined) return;
  try {
    if (theme === "system") localStorage.removeItem(KEY);
    else localStorage.setItem(KEY, theme);
  } catch {
    // A browser that keeps nothing still shows the theme until it is closed.
  }
}
