/** A day's summaries as one message: text, and the same as simple HTML. */
import type { DaySummary, SummaryLine, SummarySection } from "../plan/days/daySummary.ts";
import type { Message } from "./mailer.ts";

/** Lines of a section that a message holds; the sheet has all of them. */
const MOST_LINES = 12;

export interface SummaryLetter {
  to: string;
  name: string;
  accountId: string;
  /** The day on which it is sent. */
  day: string;
  /** Where people reach the server, with no slash at the end; absent where that is not known. */
  address: string | undefined;
  summaries: readonly DaySummary[];
}

/** The message. Its id is the same for one account and day. */
export function summaryMessage(letter: SummaryLetter): Message {
  const { to, accountId, day, summaries } = letter;
  const [first] = summaries;
  const more = summaries.length > 1 ? ` and ${summaries.length - 1} more` : "";
  return {
    to,
    id: `summary-${accountId}-${day}`,
    subject: `${first?.machine ?? "No restoration"}${more}: ${pressing(summaries)}`,
    text: textOf(letter),
    html: htmlOf(letter),
  };
}

function pressing(summaries: readonly DaySummary[]): string {
  const count = (kind: SummarySection["kind"], of: (line: SummaryLine) => boolean = () => true): number =>
    summaries
      .flatMap(({ sections }) => sections.filter((one) => one.kind === kind))
      .flatMap(({ lines }) => lines)
      .filter(of).length;
  const said = [
    [count("ORDER", (line) => line.pressing), "to order today"],
    [count("HUNT", (line) => line.pressing), "to decide on hunting"],
    [count("LATE"), "late"],
    [count("DECISION"), "waiting for an answer"],
    [count("DECLINED"), "declined"],
  ]
    .filter(([many]) => many !== 0)
    .map(([many, words]) => `${many} ${words}`);
  return said.join(", ") || "nothing urgent today";
}

const linkOf = ({ address }: SummaryLetter, { restorationId }: DaySummary): string | null =>
  address === undefined ? null : `${address}/restorations/${encodeURIComponent(restorationId)}/today`;

const STOP = "You get this because it was asked for on the Today sheet, where it can be stopped.";

function textOf(letter: SummaryLetter): string {
  const parts = letter.summaries.map((summary) => {
    const link = linkOf(letter, summary);
    return [
      `${summary.machine}\n${"=".repeat(summary.machine.length)}`,
      summary.sentence,
      summary.since,
      ...summary.sections.map(({ title, lines, none }) =>
        [
          title,
          ...(lines.length === 0 ? [none] : []),
          ...lines.slice(0, MOST_LINES).map((line) => `${line.pressing ? "! " : "- "}${line.subject}: ${line.words}`),
          ...(lines.length > MOST_LINES ? [`and ${lines.length - MOST_LINES} more`] : []),
        ].join("\n"),
      ),
      link ?? "",
    ]
      .filter((part) => part !== "")
      .join("\n\n");
  });
  return `${[...parts, STOP].join("\n\n\n")}\n`;
}

function htmlOf(letter: SummaryLetter): string {
  const parts = letter.summaries.map((summary) => {
    const link = linkOf(letter, summary);
    const paragraph = (words: string) => (words === "" ? "" : `<p>${escaped(words)}</p>`);
    const sections = summary.sections.map(({ title, lines, none }) => {
      const items = lines
        .slice(0, MOST_LINES)
        .map(
          ({ subject, words, pressing: presses }) =>
            `<li><strong>${escaped(subject)}</strong>: ${presses ? `<b>${escaped(words)}</b>` : escaped(words)}</li>`,
        );
      const more = lines.length > MOST_LINES ? `<p>and ${lines.length - MOST_LINES} more</p>` : "";
      return `<h2>${escaped(title)}</h2>${items.length === 0 ? paragraph(none) : `<ul>${items.join("")}</ul>${more}`}`;
    });
    const open = link === null ? "" : `<p><a href="${escaped(link)}">Open the Today sheet</a></p>`;
    return `<h1>${escaped(summary.machine)}</h1>${paragraph(summary.sentence)}${paragraph(summary.since)}${sections.join("")}${open}`;
  });
  return `<!doctype html><html lang="en"><meta charset="utf-8"><body>${parts.join("<hr>")}<hr><p><small>${STOP}</small></p></body></html>`;
}

const ESCAPES: Readonly<Record<string, string>> = {
  "&": "&amp;",
  "<": "&lt;",
  ">": "&gt;",
  '"': "&quot;",
  "'": "&#39;",
};
const escaped = (words: string): string => words.replace(/[&<>"']/g, (letter) => ESCAPES[letter]!);
