/** What a printed sheet says: the text of each page of a PDF. */
import { getDocument } from "pdfjs-dist/legacy/build/pdf.mjs";

/** Text of every page, runs of white space as one blank. */
export async function pagesOf(pdf: Uint8Array): Promise<string[]> {
  const document = await getDocument({ data: new Uint8Array(pdf), useSystemFonts: true, verbosity: 0 }).promise;
  const pages: string[] = [];
  for (let number = 1; number <= document.numPages; number++) {
    const { items } = await (await document.getPage(number)).getTextContent();
    pages.push(
      items
        .map((item) => ("str" in item ? `${item.str}${item.hasEOL ? " " : ""}` : ""))
        .join("")
        .replace(/\s+/g, " ")
        .trim(),
    );
  }
  await document.destroy();
  return pages;
}
