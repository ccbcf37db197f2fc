// Ever longer waits after wrong passwords; pure. Nobody is locked out by the failures of somebody else: a device on which
// an account has signed in before counts by itself, and every other address waits from its own last attempt on, half a
// minute at least while many of them guess.

interface Failures {
  count: number;
  /** When it was last counted, s of a clock that nobody sets. */
  at: number;
}

/** One count of failures: how many are free, and the longest wait after more, s. */
interface Count {
  key: string;
  free: number;
  mostSec: number;
}

/** Counts kept; those that have rested longest go first. */
const KEPT_MAX = 10_000;
/** A count that has rested this long begins anew, s. */
const FORGET_SEC = 24 * 3600;

export interface Attempt {
  account: string;
  /** Network address it comes from. */
  address: string;
  /** Hash of the cookie of a device on which this account has signed in before; '' for any other. */
  device: string;
}

/** What an attempt counts for. */
function countsOf({ account, address, device }: Attempt): Count[] {
  if (device !== '') return [{ key: `device ${device}`, free: 5, mostSec: 900 }];
  return [
    { key: `account ${account} at ${address}`, free: 5, mostSec: 900 },
    { key: `address ${address}`, free: 20, mostSec: 60 },
    { key: crowdOf(account), free: Number.POSITIVE_INFINITY, mostSec: 0 },
  ];
}

/** Failures for an account from all devices that it has not signed in on: from so many on each address waits longer. */
const CROWD = 20;
const CROWD_SEC = 30;

function crowdOf(account: string): string {
  return `account ${account}`;
}

export class Patience {
  private readonly counts = new Map<string, Failures>();

  /** Seconds until this attempt may be made; 0 for now. */
  wait(attempt: Attempt, now: number): number {
    const counts = countsOf(attempt);
    const waits = counts.map(({ key, free, mostSec }) => {
      const { count, at } = this.failures(key, now);
      return count < free ? 0 : at + Math.min(mostSec, 2 ** Math.min(20, count - free)) - now;
    });
    const own = this.failures(counts[0].key, now);
    const isCrowded = attempt.device === '' && this.failures(crowdOf(attempt.account), now).count >= CROWD;
    const crowd = isCrowded && own.count > 0 ? own.at + CROWD_SEC - now : 0;
    return Math.max(0, Math.ceil(Math.max(crowd, ...waits)));
  }

  private failures(key: string, now: number): Failures {
    const found = this.counts.get(key);
    return found && now - found.at <= FORGET_SEC ? found : { count: 0, at: now };
  }

  /** Counts an attempt as failed; to be called before its outcome is known, so that many at once gain nothing. */
  begin(attempt: Attempt, now: number): void {
    for (const { key } of countsOf(attempt)) {
      const { count } = this.failures(key, now);
      this.counts.delete(key);
      this.counts.set(key, { count: count + 1, at: now });
    }
    for (const key of this.counts.keys()) {
      if (this.counts.size <= KEPT_MAX) break;
      this.counts.delete(key);
    }
  }

  /** It was right after all: its own failures are forgotten, those of others stay. */
  right(attempt: Attempt): void {
    const [own, ...shared] = countsOf(attempt);
    this.counts.delete(own.key);
    for (const { key } of shared) {
      const failures = this.counts.get(key);
      if (failures) failures.count -= 1;
    }
  }
}
