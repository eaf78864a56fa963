import { useState } from "react";
import { applyTheme, keptTheme, type Theme } from "./theme.ts";

const NEXT: Record<Theme, Theme> = { system: "light", light: "dark", dark: "system" };
const THEME_WORDS: Record<Theme, string> = { system: "as the system", light: "paper", dark: "slate" };

/** Paper, slate, or as the system asks; kept in this browser. */
export function ThemeSwitch() {
  const [theme, setTheme] = useState(keptTheme);
  return (
    <button
      type="button"
      onClick={() => {
        applyTheme(NEXT[theme]);
        setTheme(NEXT[theme]);
      }}
    >
      <span>Colours</span> <span>{THEME_WORDS[theme]}</span>
    </button>
  );
}
