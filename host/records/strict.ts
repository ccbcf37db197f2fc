// One reading of a record. The door reads whole texts, the log book scans them for single fields, a browser
// or another tool may do either. A text that two of them would read differently is no record.
import { intField, textField } from '../../firmware/contract/fields';

const NUMBERS = ['v', 'seq', 'test', 'utc'];
const TEXTS = ['journal', 'kind', 'prev'];
/** No field is written like this, so it says that a field is not there. */
const MISSING = -1;

function scansAlike(text: string, value: Record<string, unknown>): boolean {
  for (const name of NUMBERS) if (intField(text, name, MISSING) !== (value[name] ?? MISSING)) return false;
  for (const name of TEXTS) if (textField(text, name) !== (value[name] ?? '')) return false;
  return true;
}

/**
 * The object a record's text stands for, if every reader finds the same in it: JSON written in its only short
 * form (no blanks, no doubled names, numbers as JavaScript prints them: ECMA-262, 2024, 25.5.2), whose fields
 * are also what a search for their names finds.
 */
export function readStrictly(text: string): Record<string, unknown> | undefined {
  let value: unknown;
  try {
    value = JSON.parse(text);
  } catch {
    return undefined;
  }
  if (typeof value !== 'object' || value === null || Array.isArray(value)) return undefined;
  // Written again it must be the same text, so there is nothing in it that the object does not say.
  if (JSON.stringify(value) !== text) return undefined;
  const fields = value as Record<string, unknown>;
  return scansAlike(text, fields) ? fields : undefined;
}
