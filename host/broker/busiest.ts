/** Those of the address that has the most with the one that comes: nobody keeps out clients at other addresses. */
export function ofBusiest<One extends { address: string }>(
  waiting: readonly One[],
  next: Pick<One, 'address'>,
): One[] {
  const counts = new Map<string, number>();
  for (const { address } of [...waiting, next]) counts.set(address, (counts.get(address) ?? 0) + 1);
  const most = Math.max(...counts.values());
  return waiting.filter(({ address }) => counts.get(address) === most);
}
