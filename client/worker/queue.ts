/** A queue runs one thing at a time, in the order they came. A failure of one does not stop the next. */
export class Queue {
  private tail: Promise<unknown> = Promise.resolve();

  add<T>(run: () => Promise<T> | T): Promise<T> {
    const done = this.tail.then(run);
    this.tail = done.catch(() => undefined);
    return done;
  }
}
