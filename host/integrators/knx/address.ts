// Group addresses in three levels, such as 5/1/12 (KNX Standard, chapter 3/3/2; from memory). 0/0/0 is for everybody.
/** Highest group address, 31/7/255. */
export const ADDRESS_MAX = 0xffff;

/** @returns 1 to 65,535; undefined for what is no group address */
export function addressIn(text: string): number | undefined {
  const [, main, middle, sub] = /^(\d{1,2})\/(\d)\/(\d{1,3})$/.exec(text)?.map(Number) ?? [];
  if (main === undefined || main > 31 || middle > 7 || sub > 255) return undefined;
  return (main << 11) | (middle << 8) | sub || undefined;
}

export function addressText(address: number): string {
  return `${address >> 11}/${(address >> 8) & 7}/${address & 255}`;
}
