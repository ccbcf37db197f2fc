// A journal on flash, as the journal's tests mount it.
import { signingKey } from '../../../firmware/contract/signature';
import { type Journal, mountJournal } from '../../../firmware/journal/journal';
import { sha256 } from '../../../simulator/digest';
import type { SimulatedFlash } from '../../../simulator/flash';

export const KEY = signingKey('journal secret', sha256);
export const ADDRESS = 'site/c1';
/** Bytes of a file that holds only a few records. */
export const SMALL = 2048;

/** A journal found or created in this flash, with the records it visited. */
export function mount(
  flash: SimulatedFlash,
  fileBytes = SMALL,
  id = 'aaaa0001',
): { j: Journal; found: string[] } {
  const found: string[] = [];
  const j = mountJournal(
    flash,
    KEY,
    ADDRESS,
    fileBytes,
    () => id,
    (text) => found.push(text),
  );
  if (!j) throw new Error('The journal did not mount.');
  return { j, found };
}
