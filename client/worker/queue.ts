/** A queue runs one thing at a time, in the order they came. A failure of one does not stop the next. */
export class Queue {
  private tail: Promise<unknown> = Promise.resolve();
  private waiting = 0;

  add<T>(run: () => Promise<T> | T): Promise<T> {
    this.waiting++;
    const done = this.tail.then(run).finally(() => this.waiting--);
    this.tail = done.catch(() => undefined);
    return done;
  }

  /** almostIdle holds when whoever asks is the last in line. */
  get almostIdle() { return this.waiting <= 1; }
}
