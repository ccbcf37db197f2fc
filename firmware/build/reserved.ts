// Names the minifier must leave alone, read from the files that describe the outside world.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import ts from 'typescript';
import { type Drivers, driverFiles } from './driver';
import { BuildError } from './failure';

interface Outside {
  file: string;
  interfaces?: string[];
}

/**
 * Sources of names that the program does not choose itself. The firmware is compiled without any library
 * (`noLib`), so the two declaration files hold every built-in name it can use; the interfaces are what it
 * parses: its configuration and the messages from the host.
 */
const OUTSIDE: Outside[] = [
  { file: 'core/language.d.ts' },
  { file: 'board/espruino.d.ts' },
  { file: 'board/config.ts', interfaces: ['Wiring', 'NetworkConfig', 'BoardConfig'] },
  { file: 'link/link.ts', interfaces: ['LinkOptions'] },
  {
    file: 'contract/messages.ts',
    interfaces: ['OrderMessage', 'PlanMessage', 'SettingsMessage', 'AckMessage', 'TimeMessage'],
  },
];

/**
 * Short globals of the interpreter. A function called `A4` would hide the pin from the person at the console,
 * `E` the interpreter itself, `g` the display of some boards.
 */
export function reservedNames(): string[] {
  const names = ['E', 'g'];
  for (const port of 'ABCDEFGHDVS') for (let pin = 0; pin < 64; pin++) names.push(`${port}${pin}`);
  return names;
}

/** Keywords of up to three letters. */
const KEYWORDS = ['do', 'if', 'in', 'of', 'for', 'let', 'new', 'try', 'var'];

function memberNames(node: ts.Node, names: Set<string>): void {
  if (ts.isPropertySignature(node) || ts.isMethodSignature(node)) names.add(node.name.getText());
  if (ts.isVariableDeclaration(node) || ts.isFunctionDeclaration(node)) names.add(node.name?.getText() ?? '');
  ts.forEachChild(node, (child) => memberNames(child, names));
}

function interfacesOf(source: ts.SourceFile, wanted: string[]): ts.Node[] {
  return wanted.map((name) => {
    const found = source.statements.find((s) => ts.isInterfaceDeclaration(s) && s.name.text === name);
    if (!found) throw new BuildError(`${source.fileName} has no interface ${name} to keep the names of`);
    return found;
  });
}

/**
 * Property names that must not change: those of the interpreter, of the configuration in flash and of the
 * messages from the host. All others are the program's own and may be shortened.
 * @param drivers of the program, whose wirings are in the configuration
 * @throws BuildError when one of the interfaces is not where it is expected.
 */
export function outsideNames(firmware: string, drivers: Drivers): string[] {
  // Short enough for the minifier to choose, but taken: the interpreter gives objects an `on`, and after a
  // keyword, even as a property, it reads a division as a regular expression.
  const names = new Set<string>(['at', 'is', 'on', ...KEYWORDS]);
  for (const { file, interfaces } of [...OUTSIDE, ...driverFiles(drivers)] as Outside[]) {
    const text = readFileSync(join(firmware, file), 'utf8');
    const source = ts.createSourceFile(file, text, ts.ScriptTarget.ES2022, true);
    for (const node of interfaces ? interfacesOf(source, interfaces) : [source]) memberNames(node, names);
  }
  return [...names].sort();
}
