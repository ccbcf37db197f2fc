// Texts of the host's memory as they are stored. No entry repeats them, so each carries a check of its own: a text that
// a failing disk has changed is forgotten rather than believed.
import { sha256Hex } from '../keys';

const CHECK_LENGTH = 16;

/** A text as it is stored. */
export function sealed(name: string, text: string): string {
  return `${sha256Hex(`${name}\n${text}`).slice(0, CHECK_LENGTH)} ${text}`;
}

/** The text in what is stored under a name; undefined if it is not as it was written. */
export function unsealed(name: string, stored: string): string | undefined {
  const text = stored.slice(CHECK_LENGTH + 1);
  return sealed(name, text) === stored ? text : undefined;
}
