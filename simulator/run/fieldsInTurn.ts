// Reads many fields of one flat JSON text: each is looked for behind the one before.

export class FieldsInTurn {
  private at = 0;

  constructor(private readonly json: string) {}

  /** Where the value of `"name":` begins, -1 if it is not there; one out of turn is found too. */
  private valueAt(name: string): number {
    const label = `"${name}":`;
    const ahead = this.json.indexOf(label, this.at);
    const found = ahead >= 0 ? ahead : this.json.indexOf(label);
    return found < 0 ? -1 : found + label.length;
  }

  /** The integer of that name, 0 or more; 0 where there is none. */
  int(name: string): number {
    const { json } = this;
    let at = this.valueAt(name);
    if (at < 0) return 0;
    let value = 0;
    for (let c = json.charCodeAt(at); c >= 48 && c <= 57; c = json.charCodeAt(++at))
      value = value * 10 + c - 48;
    this.at = at;
    return value;
  }

  /** The string of that name, without escapes; empty where there is none. */
  text(name: string): string {
    const from = this.valueAt(name);
    if (from < 0 || this.json.charAt(from) !== '"') return '';
    const to = this.json.indexOf('"', from + 1);
    if (to < 0) return '';
    this.at = to;
    return this.json.substring(from + 1, to);
  }
}
