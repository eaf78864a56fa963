/** Writes iCalendar text (RFC 5545): whole-day events, for other programs to read. */
import { addDays } from "../engine/time/date.ts";

/** Something on one day. */
export interface DayEvent {
  /** The same for the same thing each time the calendar is written. */
  uid: string;
  /** ISO 8601 calendar date. */
  date: string;
  title: string;
  description: string;
}

/** Octets in a line, its end not counted (RFC 5545, 3.1). */
const MOST_OCTETS = 75;

/** A calendar of whole-day events. `stamp` is the moment at which it stands so (DTSTAMP). */
export function iCalendar(name: string, events: readonly DayEvent[], stamp: Date): string {
  const lines = [
    "BEGIN:VCALENDAR",
    "VERSION:2.0",
    "PRODID:-//Lastbolt//Lastbolt//EN",
    "CALSCALE:GREGORIAN",
    "METHOD:PUBLISH",
    `NAME:${escaped(name)}`,
    ...events.flatMap((event) => [
      "BEGIN:VEVENT",
      `UID:${escaped(event.uid)}`,
      `DTSTAMP:${stamp.toISOString().replace(/[-:]|\.\d+/g, "")}`,
      `DTSTART;VALUE=DATE:${bare(event.date)}`,
      // The end of a whole-day event is the first day that it no longer covers.
      `DTEND;VALUE=DATE:${bare(addDays(event.date, 1))}`,
      `SUMMARY:${escaped(event.title)}`,
      ...(event.description === "" ? [] : [`DESCRIPTION:${escaped(event.description)}`]),
      "TRANSP:TRANSPARENT",
      "END:VEVENT",
    ]),
    "END:VCALENDAR",
  ];
  return lines.map((line) => `${folded(line)}\r\n`).join("");
}

const bare = (date: string): string => date.replaceAll("-", "");

/** Text as a value (RFC 5545, 3.3.11); control characters have no place in one. */
const escaped = (text: string): string =>
  text
    .replace(/\r\n?/g, "\n")
    // biome-ignore lint/suspicious/noControlCharactersInRegex: these are what the standard forbids
    .replace(/[\u0000-\u0008\u000b-\u001f\u007f]/g, " ")
    .replace(/[\\;,]/g, (mark) => `\\${mark}`)
    .replaceAll("\n", "\\n");

/** A line broken after at most 75 octets, between characters; each further piece begins with a space. */
function folded(line: string): string {
  const pieces: string[] = [];
  let piece = "";
  let octets = 0;
  for (const character of line) {
    const size = Buffer.byteLength(character);
    if (octets + size > MOST_OCTETS) {
      pieces.push(piece);
      piece = " ";
      octets = 1;
    }
    piece += character;
    octets += size;
  }
  return [...pieces, piece].join("\r\n");
}
