/** Tells the field sheet's worker, while the client is built, which files the sheet needs. */
import type { Plugin, Rollup } from "vite";

/** Sheets that open without a connection. */
const SHEETS = ["/field/FieldPage.tsx", "/hours/HoursPage.tsx"];

/** A plugin that writes the list into the chunk of the worker. */
export function fieldFiles(worker: string): Plugin {
  return {
    name: "field-files",
    apply: "build",
    enforce: "post",
    generateBundle(_options, bundle) {
      const chunks = Object.values(bundle).filter((one) => one.type === "chunk");
      const chunk = chunks.find(({ name }) => name === worker);
      if (!chunk) throw new Error("The field sheet's worker is not among what is built.");
      const files = [...filesOf(bundle, chunks)].map((file) => `/${file}`).sort();
      chunk.code = chunk.code.replaceAll("FIELD_FILES", JSON.stringify(files));
    },
  };
}

/** The program itself, the sheets, and what all of them bring with them. */
function filesOf(bundle: Rollup.OutputBundle, chunks: readonly Rollup.OutputChunk[]): Set<string> {
  const files = new Set<string>();
  const take = (file: string): void => {
    if (files.has(file)) return;
    const chunk = bundle[file];
    files.add(file);
    if (chunk?.type !== "chunk") return;
    for (const other of chunk.imports) take(other);
    for (const style of chunk.viteMetadata?.importedCss ?? []) files.add(style);
  };
  for (const { fileName, name, isEntry, facadeModuleId } of chunks)
    if ((isEntry && name === "main") || SHEETS.some((sheet) => facadeModuleId?.endsWith(sheet))) take(fileName);
  // Type in the letters of the sheet's own words; other scripts are read when they are met.
  for (const file of Object.keys(bundle)) if (/-latin-(?!ext)[\w-]*\.woff2$/.test(file)) files.add(file);
  return files;
}
