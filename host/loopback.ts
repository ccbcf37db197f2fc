/** Whether an address is reached from this machine only; IPv6 also as a URL writes it, in brackets. */
export function isThisMachine(host: string): boolean {
  return ['localhost', '::1', '[::1]'].includes(host) || /^127\.\d+\.\d+\.\d+$/.test(host);
}

/** An address as its family writes it: sockets for both families have those of IPv4 inside IPv6. */
export function plainAddress(address: string): string {
  return address.replace(/^::ffff:(?=\d+\.)/i, '');
}

/** The eight groups of an IPv6 address, whatever zeros it leaves out. */
export function groupsOf(address: string): number[] {
  const [head, tail] = address.split('::');
  const groups = (text = ''): string[] => (text === '' ? [] : text.split(':'));
  const [front, back] = [groups(head), groups(tail)];
  const zeros = tail === undefined ? 0 : Math.max(0, 8 - front.length - back.length);
  const all = [...front, ...Array<string>(zeros).fill('0'), ...back];
  return all.map((group) => Number.parseInt(group, 16));
}
