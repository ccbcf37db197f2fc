// One host a log book: what it holds while it runs, and what another is told.
import { LogbookError } from './logbook';

export interface HostLock {
  /** Leaves the address of the host's page for whoever finds the log book taken. */
  tell(page: string): void;
  release(): void | Promise<void>;
}

/** Why a host may not have a log book. @param page of the host that has it; '' if that is not known */
export function taken(shown: string, page: string): LogbookError {
  const where = page ? `: its page is ${page}` : '';
  return new LogbookError(
    `Another host is using the log book ${shown}${where}. Stop that host, or give another log book with --db.`,
  );
}
