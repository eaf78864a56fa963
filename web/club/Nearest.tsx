/** Said where no row fits all words that were looked for, before those that some of them fit. */
export const Nearest = ({ search }: { search: string }) => (
  <>Nothing here fits all of “{search}”. What comes nearest is listed.</>
);
