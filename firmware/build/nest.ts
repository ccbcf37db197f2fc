// Puts functions that are called in one place, and not often, into the function that calls them, where the
// minifier then folds them into the call. Each function takes about seven of the board's memory cells as long
// as it is in scope; a folded one takes them only while it runs, but the interpreter then reads its text
// twice at every call: once to find its end, once to run it.
import { parse } from 'acorn';
import { type Ast, type AstFunction, children, isFunction, isPropertyName } from './rules/ast';
import { isLocal, type Scope, scopeOf } from './rules/scope';

export interface NestOptions {
  /** Functions that are called often: they stay where they are, and nothing is put into them. */
  often: string[];
  /**
   * Functions whose inner functions are not kept after they return. Any other function that creates functions
   * stays where it is: everything in their scope would stay in memory with them.
   */
  passing: string[];
}

/** A function of the bundle. */
interface Entry {
  node: AstFunction;
  /** Who uses it, once per use: a function's name, or '' for the program or where it is kept as a value. */
  users: string[];
  /** Names it uses but does not declare, and its own name. */
  names: Set<string>;
  makesFunctions: boolean;
}

type Entries = Map<string, Entry>;

const PROGRAM = '';
const LOOPS = ['ForStatement', 'ForInStatement', 'WhileStatement', 'DoWhileStatement'];

/** Position of a node: in which function of the bundle, how many functions deep, which names are in scope. */
interface Place {
  owner: string;
  depth: number;
  inLoop: boolean;
  scope: Scope;
}

function nameOf(node: AstFunction): string {
  return node.id?.name ?? '';
}

function noteName(
  entries: Entries,
  node: Ast & { name: string },
  place: Place,
  parent: Ast | undefined,
): void {
  if (isPropertyName(node, parent) || isLocal(place.scope, node.name)) return;
  entries.get(place.owner)?.names.add(node.name);
  const used = entries.get(node.name);
  if (!used || used.node === parent) return;
  const isCall = parent?.type === 'CallExpression' && parent.callee === node && place.depth === 1;
  // Folded into a loop, it would be created again in every iteration.
  used.users.push(isCall && !place.inLoop ? place.owner : PROGRAM);
}

function noteUses(entries: Entries, node: Ast, place: Place, parent?: Ast): void {
  if (node.type === 'Identifier') noteName(entries, node, place, parent);
  let inner = LOOPS.includes(node.type) ? { ...place, inLoop: true } : place;
  if (isFunction(node)) {
    const isEntry = place.depth === 0 && node.type === 'FunctionDeclaration';
    const owner = isEntry ? nameOf(node) : place.owner;
    const outer = entries.get(place.owner);
    if (outer) outer.makesFunctions = true;
    inner = { owner, depth: place.depth + 1, inLoop: false, scope: scopeOf(node, place.scope) };
  }
  for (const child of children(node)) noteUses(entries, child, inner, node);
}

function entriesOf(program: Ast): Entries {
  const entries: Entries = new Map();
  for (const node of children(program))
    if (node.type === 'FunctionDeclaration')
      entries.set(nameOf(node as AstFunction), {
        node: node as AstFunction,
        ...{ users: [], names: new Set(), makesFunctions: false },
      });
  noteUses(entries, program, { owner: PROGRAM, depth: 0, inLoop: false, scope: scopeOf(program, undefined) });
  return entries;
}

/** Whether `inner`, put into `outer`, would mistake one of `outer`'s own names for a name of the bundle. */
function clashes(inner: Entry, outer: Entry): boolean {
  const locals = scopeOf(outer.node, undefined).names;
  return [...inner.names].some((name) => locals.has(name));
}

/** Where each function goes: the name of the function it is put into, or nothing when it stays. */
function placesOf(entries: Entries, options: NestOptions): Map<string, string> {
  const stays = (name: string): boolean =>
    options.often.includes(name) || (entries.get(name)!.makesFunctions && !options.passing.includes(name));
  const places = new Map<string, string>();
  for (const [name, { users }] of entries)
    if (users.length === 1 && users[0] !== PROGRAM && users[0] !== name && !stays(name) && !stays(users[0]))
      places.set(name, users[0]);
  for (const [name, entry] of entries)
    for (let outer = places.get(name); outer; outer = places.get(outer))
      if (clashes(entry, entries.get(outer)!)) places.delete(name);
  return places;
}

/** The text of a function with the ones put into it, in the order of their declarations. */
function textOf(source: string, entries: Entries, places: Map<string, string>, name: string): string {
  const { node } = entries.get(name)!;
  const inner = [...places].filter(([, outer]) => outer === name);
  const open = node.body.start + 1;
  const texts = inner.map(([one]) => `\n${textOf(source, entries, places, one)}`);
  return source.slice(node.start, open) + texts.join('') + source.slice(open, node.end);
}

/**
 * Puts every function of `source` that is called in only one place into the function that calls it, and puts
 * the often-called ones first: the interpreter looks names up in the order they were created.
 */
export function nest(source: string, options: NestOptions): string {
  const program = parse(source, { ecmaVersion: 2022, sourceType: 'script' }) as Ast;
  const entries = entriesOf(program);
  const places = placesOf(entries, options);
  const first = options.often.filter((name) => entries.has(name));
  let text = first.map((name) => `${textOf(source, entries, places, name)}\n`).join('');
  let from = 0;
  for (const [name, { node }] of entries) {
    text += source.slice(from, node.start);
    if (!places.has(name) && !first.includes(name)) text += textOf(source, entries, places, name);
    from = node.end;
  }
  return text + source.slice(from);
}
