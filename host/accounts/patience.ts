// Waits after wrong passwords; pure. None is longer than half a minute, because somebody may have to restore a supply: what
// keeps guesses off is their number per account, and that each costs the host a tenth of a second. A device on which an
// account has signed in before waits for its own failures only. From elsewhere, each network waits for its own, and all of
// them together may make some 30,000 attempts a day: too few for a password that is not among the first that anybody would try.
import { groupsOf, isThisMachine, plainAddress } from '../loopback';

interface Failures {
  count: number;
  /** When it was last counted, s of a clock that nobody sets. */
  at: number;
}

/** Failures that are free, and the longest wait after more, s. */
const FREE = 5;
const MOST_SEC = 30;
/** Counts kept; those that have rested longest go first. */
const KEPT_MAX = 10_000;
/** A count that has rested this long begins anew, s. */
const FORGET_SEC = 24 * 3600;
/** Attempts on an account from all devices that it does not know: so many at once, and one more in each of these times, s. */
const CROWD = 20;
const CROWD_SEC = 10;
/** Networks that are promised an attempt in half a minute, however many others try. */
const PROMISED_MAX = 10;

export interface Attempt {
  account: string;
  /** Network address it comes from. */
  address: string;
  /** Hash of the cookie of a device on which this account has signed in before; '' for any other. */
  device: string;
}

/** What one party can have many addresses of counts as one: this machine, and the /64 of IPv6 (RFC 4291: one link's). */
export function networkOf(address: string): string {
  const plain = plainAddress(address).replace(/%.*$/, '');
  if (isThisMachine(plain)) return 'this machine';
  if (!plain.includes(':')) return plain;
  return groupsOf(plain)
    .slice(0, 4)
    .map((group) => group.toString(16))
    .join(':');
}

function ownKey({ account, address, device }: Attempt): string {
  return device === '' ? `account ${account} from ${networkOf(address)}` : `device ${device}`;
}

export class Patience {
  private readonly counts = new Map<string, Failures>();
  /** Of each account: how many attempts it has had lately from devices that it does not know. */
  private readonly crowds = new Map<string, Failures>();
  /** When those who were promised an attempt may make it, by their own key. */
  private readonly promises = new Map<string, Map<string, number>>();

  /** Seconds until this attempt may be made; 0 for now. */
  wait(attempt: Attempt, now: number): number {
    const key = ownKey(attempt);
    const { count, at } = this.failures(key, now);
    const own = count < FREE ? 0 : at + Math.min(MOST_SEC, 2 ** Math.min(20, count - FREE)) - now;
    const crowd = attempt.device === '' ? this.crowdWait(attempt.account, key, now) : 0;
    return Math.max(0, Math.ceil(Math.max(own, crowd)));
  }

  private failures(key: string, now: number): Failures {
    const found = this.counts.get(key);
    return found && now - found.at <= FORGET_SEC ? found : { count: 0, at: now };
  }

  private crowd(account: string, now: number): number {
    const { count, at } = this.crowds.get(account) ?? { count: 0, at: now };
    return Math.max(0, count - (now - at) / CROWD_SEC);
  }

  /** Whoever has to wait because of others is promised an attempt, so that they cannot take every one. */
  private crowdWait(account: string, key: string, now: number): number {
    if (this.crowd(account, now) <= CROWD - 1) return 0;
    const list = this.promises.get(account) ?? new Map<string, number>();
    for (const [other, at] of list) if (now > at + MOST_SEC) list.delete(other);
    const promised = list.get(key);
    if (promised !== undefined) return Math.max(0, promised - now);
    if (list.size < PROMISED_MAX) {
      list.set(key, now + MOST_SEC);
      this.promises.set(account, list);
    }
    return MOST_SEC;
  }

  /** Counts an attempt as failed; to be called before its outcome is known, so that many at once gain nothing. */
  begin(attempt: Attempt, now: number): void {
    const key = ownKey(attempt);
    const { count } = this.failures(key, now);
    keep(this.counts, key, { count: count + 1, at: now });
    if (attempt.device !== '') return;
    keep(this.crowds, attempt.account, { count: this.crowd(attempt.account, now) + 1, at: now });
    const list = this.promises.get(attempt.account);
    list?.delete(key);
    if (list?.size === 0) this.promises.delete(attempt.account);
  }

  /** It was right after all: its own failures are forgotten, those of others stay. */
  right(attempt: Attempt): void {
    this.counts.delete(ownKey(attempt));
    const crowd = this.crowds.get(attempt.account);
    if (crowd && attempt.device === '') crowd.count = Math.max(0, crowd.count - 1);
  }
}

/** The newest last, and no more than are kept. */
function keep(counts: Map<string, Failures>, key: string, failures: Failures): void {
  counts.delete(key);
  counts.set(key, failures);
  const [oldest] = counts.keys();
  if (counts.size > KEPT_MAX) counts.delete(oldest);
}
