/**
 * Names the minifier must not give away: short globals of the interpreter. A function called `A4` would
 * hide the pin from the person at the console, `E` the interpreter itself, `g` the display of some boards.
 */
export function reservedNames(): string[] {
  const names = ['E', 'g'];
  for (const port of 'ABCDEFGHDVS') for (let pin = 0; pin < 64; pin++) names.push(`${port}${pin}`);
  return names;
}
