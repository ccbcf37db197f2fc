// What PostgreSQL's errors mean, one sentence for the person who has to act.
import { LogbookError } from '../../logbook';

interface DriverError {
  /** SQLSTATE (PostgreSQL 15 documentation, appendix A) or a code of the operating system. */
  code?: string;
  message: string;
}

const KEPT = 'Nothing more is stored until it answers; the controllers keep their records until then.';

const SENTENCES: { [code: string]: (shown: string, message: string) => string } = {
  '28P01': (shown) =>
    `The PostgreSQL server refuses the password for the log book ${shown}; give it in PGPASSWORD or ~/.pgpass.`,
  '28000': (shown) => `The PostgreSQL server lets nobody in as the user of ${shown}; see its pg_hba.conf.`,
  '3D000': (shown) => `There is no database for the log book ${shown}; make it with "createdb".`,
  '42501': (shown, message) =>
    `The database user of the log book ${shown} may not do that (${message}); see docs/estate.md for its rights.`,
  '53100': (shown) =>
    `The disk of the log book ${shown} is full. Nothing more is stored until there is room; the controllers keep ` +
    'their records until then.',
  '25006': (shown) =>
    `The server of the log book ${shown} only reads (a standby?); name the one that writes.`,
  XX001: (shown) => damaged(shown),
  XX002: (shown) => damaged(shown),
};

function damaged(shown: string): string {
  return `The database of the log book ${shown} is damaged. Keep it and restore your backup; the controllers then send what they have not sent yet.`;
}

/** Whether the connection is gone, so that nobody knows what became of what was asked. */
export function isLost(error: unknown): boolean {
  const { code = '', message } = error as DriverError;
  // Class 08: connection exception; 57P01 to 57P05: the server stops, or has ended the session.
  if (/^(08|57P)/.test(code) || /^E[A-Z_]+$/.test(code)) return true;
  return /terminated|timeout|not queryable|Client was closed|Connection ended/i.test(message);
}

/** Turns the driver's error into one sentence; `shown` is the log book's URL without a password. */
export function plainly(shown: string, error: unknown): LogbookError {
  if (error instanceof LogbookError) return error;
  const { code = '', message } = error as DriverError;
  const why = message || code;
  if (/SASL|client password must be a string/.test(message))
    return new LogbookError(SENTENCES['28P01'](shown, why));
  const sentence = SENTENCES[code]?.(shown, why);
  if (sentence) return new LogbookError(sentence);
  if (isLost(error))
    return new LogbookError(`The database of the log book ${shown} does not answer (${why}). ${KEPT}`);
  return new LogbookError(`The log book ${shown} failed: ${why}.`);
}
