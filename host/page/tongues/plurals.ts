// Numbers and the words counted by them, by the rules of a language (Unicode CLDR, through Intl).

/** Forms that only some languages have; where one is missing, `other` is used. */
type Rare = Partial<Record<Exclude<Intl.LDMLPluralRule, 'one' | 'other'>, string>>;

export interface Plurals {
  /** The form of a word for a number, without the number. */
  form(n: number, one: string, other: string, rare?: Rare): string;
  /** "1 circuit", "2 circuits". */
  count(n: number, one: string, other: string, rare?: Rare): string;
  /** A number with so many digits after the decimal mark. */
  number(n: number, digits?: number): string;
}

/** @param locale BCP 47 tag, "en-GB" */
export function plurals(locale: string): Plurals {
  const rules = new Intl.PluralRules(locale);
  const formats = [0, 1].map(
    (digits) =>
      new Intl.NumberFormat(locale, {
        ...{ minimumFractionDigits: digits, maximumFractionDigits: digits, useGrouping: false },
      }),
  );
  const number = (n: number, digits = 0) => formats[digits].format(n);
  const form = (n: number, one: string, other: string, rare: Rare = {}) => {
    const rule = rules.select(n);
    return rule === 'one' ? one : ((rule === 'other' ? other : rare[rule]) ?? other);
  };
  return { form, number, count: (n, one, other, rare) => `${number(n)} ${form(n, one, other, rare)}` };
}
