// One host a log book: what it holds while it runs.

export interface HostLock {
  /** Leaves the address of the host's page for whoever finds the log book taken. */
  tell(page: string): void;
  release(): void | Promise<void>;
}
