/** Addresses of the club's sheets. Ids are opaque and may hold any character. */
const under = (...rest: string[]): string => ["/club", ...rest.map(encodeURIComponent)].join("/");

export const clubAddress = {
  sources: (search?: string) =>
    search ? `${under("sources")}?${new URLSearchParams({ q: search })}` : under("sources"),
  /** What one maker has made for members. */
  maker: (name: string) => `${under("sources")}?${new URLSearchParams({ maker: name })}`,
  /** What the own workshop knows of a supplier, to be shared row by row. */
  share: (supplier?: string) =>
    supplier ? `${under("sources", "share")}?${new URLSearchParams({ supplier })}` : under("sources", "share"),
  wants: () => under("wants"),
  spares: () => under("spares"),
  matches: () => under("matches"),
  match: (want: string, spare: string) => under("matches", want, spare),
  batches: () => under("batches"),
  batch: (batch: string) => under("batches", batch),
  files: () => under("files"),
  complaints: () => under("complaints"),
  member: () => under("member"),
};

/** The complaints, for the query of the address at which they stood before. */
export function movedToComplaints(search: string): string {
  const state = new URLSearchParams(search).get("stands");
  return state === null
    ? clubAddress.complaints()
    : `${clubAddress.complaints()}?state=${state === "settled" ? "answered" : "waiting"}`;
}
