// The log book of one circuit in a campaign: accepts a record only with a valid signature, the next number
// and the hash of the record before it, and says what is wrong with any other.
import { intField, textField } from '../../firmware/contract/fields';
import { chainHash, hasValidSignature, type SigningKey } from '../../firmware/contract/signature';

interface Pages {
  /** Signature of every record held, number 1 first. */
  macs: string[];
  last: string;
  /** Texts that came before one in front of them, by number. */
  ahead: Map<number, string>;
}

export type LedgerAnswer = 'taken' | 'again' | 'gap' | 'duplicate' | 'forged' | 'unchained';

/** Signature of a signed text: its last 32 characters before the closing quote and brace. */
export function macOf(text: string): string {
  return text.slice(-34, -2);
}

export class Ledger {
  private readonly journals = new Map<string, Pages>();

  constructor(
    private readonly key: SigningKey,
    private readonly address: string,
  ) {}

  /**
   * Takes a record, or says why not: `again` is a repeat of the same text, `gap` means others are missing.
   */
  take(text: string): LedgerAnswer {
    if (!hasValidSignature(this.key, 'record', this.address, text)) return 'forged';
    const journal = textField(text, 'journal');
    const seq = intField(text, 'seq', 0);
    let pages = this.journals.get(journal);
    if (!pages) {
      pages = { macs: [], last: '', ahead: new Map() };
      this.journals.set(journal, pages);
    }
    if (seq <= pages.macs.length) return pages.macs[seq - 1] === macOf(text) ? 'again' : 'duplicate';
    if (seq > pages.macs.length + 1) return 'gap';
    if (seq > 1 && textField(text, 'prev') !== chainHash(this.key.sha256, pages.last)) return 'unchained';
    pages.macs.push(macOf(text));
    pages.last = text;
    return 'taken';
  }

  /** Keeps a text for which others are missing. @returns false if it is another than one kept before */
  keep(text: string): boolean {
    const pages = this.journals.get(textField(text, 'journal')) as Pages;
    const seq = intField(text, 'seq', 0);
    const known = pages.ahead.get(seq);
    if (known === undefined) pages.ahead.set(seq, text);
    return known === undefined || known === text;
  }

  /** The text kept whose turn it is, once. */
  next(journal: string): string | undefined {
    const { ahead, macs } = this.journals.get(journal) as Pages;
    const text = ahead.get(macs.length + 1);
    ahead.delete(macs.length + 1);
    return text;
  }

  /** Signature of a record held or kept; undefined if it is not. */
  mac(journal: string, seq: number): string | undefined {
    const pages = this.journals.get(journal);
    const text = pages?.ahead.get(seq);
    return text === undefined ? pages?.macs[seq - 1] : macOf(text);
  }

  /** Newest record held of this journal. */
  through(journal: string): number {
    return this.journals.get(journal)?.macs.length ?? 0;
  }
}
