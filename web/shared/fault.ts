import type { FieldFault } from "./save.tsx";

/** What a fault says to people: of a field it speaks by the label under which that stands on the screen. */
export function faultWords({ message, complaint }: Pick<FieldFault, "message" | "complaint">, label?: string): string {
  const words = complaint && label ? `${label} ${complaint}${complaint.endsWith("?") ? "" : "."}` : message;
  return words.charAt(0).toUpperCase() + words.slice(1);
}
