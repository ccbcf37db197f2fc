// Puts functions that are called in one or two places, and not often, into the functions that call them, where the
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

/** Most functions that get a copy of one, and the longest text that is copied, characters: it costs flash. */
const COPIES = 2;
const LONGEST_COPY = 400;

/** Every function that would hold `name`, directly or not. */
function holdersOf(places: Map<string, string[]>, name: string, seen: Set<string> = new Set()): Set<string> {
  for (const outer of places.get(name) ?? []) {
    if (seen.has(outer)) continue;
    seen.add(outer);
    holdersOf(places, outer, seen);
  }
  return seen;
}

/** Where each function goes: the functions it is put into, or nothing when it stays. */
function placesOf(entries: Entries, options: NestOptions): Map<string, string[]> {
  const stays = (name: string): boolean =>
    name === PROGRAM ||
    options.often.includes(name) ||
    (entries.get(name)!.makesFunctions && !options.passing.includes(name));
  const places = new Map<string, string[]>();
  for (const [name, { users, node }] of entries) {
    const isShort = users.length === 1 || (users.length <= COPIES && node.end - node.start <= LONGEST_COPY);
    // Called twice in one function, it would stay a function there.
    const isOnce = new Set(users).size === users.length && users.length > 0;
    if (isShort && isOnce && !stays(name) && users.every((user) => !stays(user))) places.set(name, users);
  }
  for (const [name, entry] of entries) {
    const holders = holdersOf(places, name);
    if (holders.has(name) || [...holders].some((outer) => clashes(entry, entries.get(outer)!)))
      places.delete(name);
  }
  return places;
}

/** The text of a function with the ones put into it, in the order of their declarations. */
function textOf(source: string, entries: Entries, places: Map<string, string[]>, name: string): string {
  const { node } = entries.get(name)!;
  const inner = [...places].filter(([, outers]) => outers.includes(name));
  const open = node.body.start + 1;
  const texts = inner.map(([one]) => `\n${textOf(source, entries, places, one)}`);
  return source.slice(node.start, open) + texts.join('') + source.slice(open, node.end);
}

/**
 * Puts every function of `source` that is called in only one place, or is short and called in two, into the
 * functions that call it, and puts the often-called ones first: the interpreter looks names up in the order
 * they were created.
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
