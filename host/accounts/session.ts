// How long a session lasts; pure. Times are UTC seconds.

export interface Session {
  /** Hash of its cookie. */
  hash: string;
  account: string;
  /** When it began, was last used, and when the password was last given. */
  began: number;
  used: number;
  proved: number;
}

/** Ends when not used for 12 hours: common practice for people on shift, no source. */
export const IDLE_SEC = 12 * 3600;
/** Lasts while it is used, up to 30 days: NIST SP 800-63B (2017), 4.1.3, from memory. */
export const LIFE_SEC = 30 * 86_400;
/** A browser keeps the cookie longer, for a test that runs when the session would end. */
export const COOKIE_SEC = LIFE_SEC + 86_400;
/** A use is noted no more often than this: each is a write. */
const NOTED_SEC = 60;
/** After a password was given, nobody is asked for it again for 5 minutes. */
export const PROVED_SEC = 300;

/**
 * True while the session lasts; in a running test none ends because it began long ago. A clock that was put back lengthens
 * nothing by more than it was put back.
 * @param isTesting asked only of a session that would end otherwise: every circuit is looked at for it
 */
export function isAlive({ began, used }: Session, now: number, isTesting: () => boolean): boolean {
  return now - used <= IDLE_SEC && (now - began <= LIFE_SEC || isTesting());
}

/** The session after a use, if that is worth noting. */
export function usedAgain(session: Session, now: number): Session | undefined {
  return Math.abs(now - session.used) >= NOTED_SEC ? { ...session, used: now } : undefined;
}

/** True if the password was given so recently that an order which takes a supply away needs no more. */
export function isProved({ proved }: Session, now: number): boolean {
  return now >= proved && now - proved <= PROVED_SEC;
}
