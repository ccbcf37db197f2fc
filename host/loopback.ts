/** Whether an address is reached from this machine only; IPv6 also as a URL writes it, in brackets. */
export function isThisMachine(host: string): boolean {
  return ['localhost', '::1', '[::1]'].includes(host) || /^127\.\d+\.\d+\.\d+$/.test(host);
}

/** An address as its family writes it: sockets for both families have those of IPv4 inside IPv6. */
export function plainAddress(address: string): string {
  return address.replace(/^::ffff:(?=\d+\.)/i, '');
}
