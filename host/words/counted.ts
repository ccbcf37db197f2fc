/** "1 circuit", "2 circuits"; `many` where the plural has more than an s. */
export function counted(count: number, one: string, many = `${one}s`): string {
  return `${count} ${count === 1 ? one : many}`;
}
