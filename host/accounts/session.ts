// How long a session lasts; pure. Times are UTC seconds.
import type { Session } from './store';

/** Ends when not used for 12 hours, and after a week in any case: common practice for people on shift, no source. */
export const IDLE_SEC = 12 * 3600;
export const LIFE_SEC = 7 * 86_400;
/** A use is noted no more often than this: each is a write. */
const NOTED_SEC = 60;
/** After a password was given, nobody is asked for it again for 5 minutes. */
export const PROVED_SEC = 300;

/** True while the session lasts. A clock that was put back lengthens nothing by more than it was put back. */
export function isAlive({ began, used }: Session, now: number): boolean {
  return now - used <= IDLE_SEC && now - began <= LIFE_SEC;
}

/** The session after a use, if that is worth noting. */
export function usedAgain(session: Session, now: number): Session | undefined {
  return Math.abs(now - session.used) >= NOTED_SEC ? { ...session, used: now } : undefined;
}

/** True if the password was given so recently that an order which takes a supply away needs no more. */
export function isProved({ proved }: Session, now: number): boolean {
  return now >= proved && now - proved <= PROVED_SEC;
}
