/** What fields of many rows ask for one by one, read together: the keys asked for in one go make one query. */
export class Gathered<T> {
  private waiting = new Set<string>();
  private reading: Promise<ReadonlyMap<string, T>> | null = null;

  constructor(private readonly read: (keys: readonly string[]) => Promise<ReadonlyMap<string, T>>) {}

  /** What stands under the key; undefined where the reading found nothing. */
  async of(key: string): Promise<T | undefined> {
    this.waiting.add(key);
    this.reading ??= new Promise<void>((resolve) => setImmediate(resolve)).then(() => {
      const keys = [...this.waiting];
      this.waiting = new Set();
      this.reading = null;
      return this.read(keys);
    });
    return (await this.reading).get(key);
  }
}
