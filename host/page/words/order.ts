// The name under an order. The controller takes 1 to 40 plain printable characters without quote or
// backslash, so accents are dropped here instead of refusing half of the world's names.
import type { OrderName } from '../../server/api';

/** The name as it will be stored, or one sentence on what to change. */
export function orderName(typed: string): { who: string; mistake: string } {
  const plain = typed
    .normalize('NFKD')
    .replace(/\p{M}/gu, '')
    .replace(/ß/g, 'ss')
    .replace(/ø/g, 'o')
    .replace(/Ø/g, 'O')
    .replace(/[’‘]/g, "'")
    .replace(/\s+/g, ' ')
    .trim();
  if (plain === '') return { who: '', mistake: 'Type your name: the log book keeps who ordered it.' };
  if (plain.length > 40) return { who: '', mistake: 'Use 40 characters at most.' };
  if (!/^[\x20-\x7e]+$/.test(plain) || /["\\]/.test(plain))
    return { who: '', mistake: 'Use Latin letters, digits and simple signs, without " or \\.' };
  return { who: plain, mistake: '' };
}

/** What the page says about each order, before it is given. */
export const ORDERS: Record<OrderName, { button: string; consequence: string; yes: string; no: string }> = {
  restore: {
    button: 'Restore supply',
    consequence: 'Mains comes back now; this test will be void and tried again.',
    yes: 'Yes, restore supply',
    no: 'No, let the test run',
  },
  'clear fault': {
    button: 'Clear fault',
    consequence:
      'Only after the relay and its wiring have been repaired and proved: the controller will test again by ' +
      'itself and take the supply away.',
    yes: 'Yes, it is repaired',
    no: 'No, leave it',
  },
};
