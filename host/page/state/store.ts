// One place for what the page knows. Listeners are called at most five times a second, because a simulated
// building can send hundreds of readings in that time.
import { EMPTY_STATE, type PageState } from './pageState';

const TELL_EVERY_MS = 200;

export class PageStore {
  state: PageState = EMPTY_STATE;
  private readonly listeners = new Set<() => void>();
  private timer: ReturnType<typeof setTimeout> | null = null;

  /** Changes the state; listeners are called within a fifth of a second. */
  change(make: (state: PageState) => PageState): void {
    this.state = make(this.state);
    if (this.timer === null) this.timer = setTimeout(() => this.tell(), TELL_EVERY_MS);
  }

  /** The same, with listeners called at once: for what must not be seen half done. */
  changeAtOnce(make: (state: PageState) => PageState): void {
    this.state = make(this.state);
    if (this.timer !== null) clearTimeout(this.timer);
    this.tell();
  }

  /** Calls `listener` after changes until the returned function is called. */
  listen(listener: () => void): () => void {
    this.listeners.add(listener);
    return () => {
      this.listeners.delete(listener);
    };
  }

  private tell(): void {
    this.timer = null;
    for (const listener of this.listeners) listener();
  }
}
