// Replaces calls of one-line functions by their bodies. A call costs the interpreter as much time as an ADC
// conversion, and one reading of the lamps takes up to a hundred of those; a function takes some six memory
// cells as long as it is in scope, its text in the places that call it takes only flash.
import { parse } from 'acorn';
import { type Ast, type AstFunction, children, isFunction, isPropertyName, walk } from './rules/ast';
import { isLocal, type Scope, scopeOf } from './rules/scope';

/** A function that only evaluates one expression. */
interface OneLine {
  node: AstFunction;
  expression: Ast;
  /** Whether it returns the value of the expression. */
  returns: boolean;
  parameters: string[];
}

interface Edit {
  start: number;
  end: number;
  text: string;
}

function oneLineOf(node: Ast, source: string): OneLine | undefined {
  if (node.type !== 'FunctionDeclaration' || node.body.body.length !== 1) return undefined;
  const [only] = node.body.body;
  const returns = only.type === 'ReturnStatement';
  const expression = returns
    ? only.argument
    : only.type === 'ExpressionStatement'
      ? only.expression
      : undefined;
  if (!expression) return undefined;
  const parameters = node.params.map((one) => source.slice(one.start, one.end));
  return { node, expression, returns, parameters };
}

/** Identifiers of an expression that are variables. */
function variablesIn(expression: Ast): (Ast & { name: string })[] {
  const found: (Ast & { name: string })[] = [];
  walk(expression, (node, parent) => {
    if (node.type === 'Identifier' && !isPropertyName(node, parent)) found.push(node);
  });
  return found;
}

function applied(source: string, edits: Edit[], from: number, to: number): string {
  let text = '';
  let at = from;
  for (const edit of edits.sort((a, b) => a.start - b.start)) {
    text += source.slice(at, edit.start) + edit.text;
    at = edit.end;
  }
  return text + source.slice(at, to);
}

const IMPURE = [
  'CallExpression',
  'NewExpression',
  'AssignmentExpression',
  'UpdateExpression',
  'FunctionExpression',
];

function has(node: Ast, types: string[]): boolean {
  let found = false;
  walk(node, (inner) => {
    found ||= types.includes(inner.type);
  });
  return found;
}

function isPlain(argument: Ast): boolean {
  return argument.type === 'Identifier' || argument.type === 'Literal';
}

/** Whether an argument may take its parameter's place: evaluated as often, and with the same value. */
function mayReplace(argument: Ast, parameter: string, one: OneLine): boolean {
  if (isPlain(argument)) return true;
  const uses = variablesIn(one.expression).filter(({ name }) => name === parameter);
  const isCertain = !has(one.expression, [...IMPURE, 'ConditionalExpression', 'LogicalExpression']);
  return uses.length === 1 && isCertain && !has(argument, IMPURE);
}

/** The text that replaces the call, or undefined when it must stay. */
function replacement(source: string, one: OneLine, call: Ast, parent: Ast | undefined, scope: Scope) {
  if (call.type !== 'CallExpression' || call.arguments.length !== one.parameters.length) return undefined;
  if (!one.returns && parent?.type !== 'ExpressionStatement') return undefined;
  if (!call.arguments.every((a, i) => mayReplace(a as Ast, one.parameters[i], one))) return undefined;
  const edits: Edit[] = [];
  for (const variable of variablesIn(one.expression)) {
    const at = one.parameters.indexOf(variable.name);
    if (at >= 0) {
      const { start, end } = call.arguments[at];
      const text = source.slice(start, end);
      const isBare = isPlain(call.arguments[at] as Ast);
      edits.push({ start: variable.start, end: variable.end, text: isBare ? text : `(${text})` });
    } else if (isLocal(scope, variable.name)) return undefined;
  }
  return `(${applied(source, edits, one.expression.start, one.expression.end)})`;
}

function oneLinesOf(program: Ast, source: string): Map<string, OneLine> {
  const lines = new Map<string, OneLine>();
  for (const node of children(program)) {
    const one = oneLineOf(node, source);
    if (one?.node.id) lines.set(one.node.id.name, one);
  }
  return lines;
}

function changesParameter(one: OneLine): boolean {
  let found = false;
  walk(one.expression, (node) => {
    const target =
      node.type === 'AssignmentExpression' ? node.left : node.type === 'UpdateExpression' && node.argument;
    found ||= Boolean(target && target.type === 'Identifier' && one.parameters.includes(target.name));
  });
  return found;
}

/** Longest text that is put into more than one place, characters. */
const LONGEST = 160;

/**
 * Names of the one-line functions of which every use is a call that their text can replace. Those that call
 * another of them wait for the next round.
 */
export function replaceable(source: string): string[] {
  const program = parse(source, { ecmaVersion: 2022, sourceType: 'script' }) as Ast;
  const lines = oneLinesOf(program, source);
  const stays = (one: OneLine): boolean =>
    has(one.expression, ['FunctionExpression', 'ThisExpression']) ||
    changesParameter(one) ||
    one.expression.end - one.expression.start > LONGEST;
  const refused = new Set([...lines].filter(([, one]) => stays(one)).map(([name]) => name));
  const visit = (node: Ast, parent: Ast | undefined, scope: Scope): void => {
    const inner = isFunction(node) ? scopeOf(node, scope) : scope;
    const one =
      node.type === 'Identifier' && !isPropertyName(node, parent) ? lines.get(node.name) : undefined;
    if (one && !isLocal(scope, one.node.id!.name) && parent !== one.node) refused.add(one.node.id!.name);
    let rest = children(node);
    if (node.type === 'CallExpression' && node.callee.type === 'Identifier') {
      const called = lines.get(node.callee.name);
      const isReplaced =
        called && !isLocal(scope, node.callee.name) && replacement(source, called, node, parent, scope);
      if (isReplaced) rest = rest.filter((child) => child !== node.callee);
    }
    for (const child of rest) visit(child, node, inner);
  };
  visit(program, undefined, scopeOf(program, undefined));
  const found = [...lines.keys()].filter((name) => !refused.has(name));
  const isWaiting = (name: string): boolean =>
    variablesIn(lines.get(name)!.expression).some((used) => found.includes(used.name));
  return found.filter((name) => !isWaiting(name));
}

/**
 * Replaces every call of the functions in `names` that only evaluate one expression. A listed function that
 * does more, and a call whose meaning would change, stay as they are; the minifier drops what is unused.
 */
export function inline(source: string, names: string[]): string {
  const program = parse(source, { ecmaVersion: 2022, sourceType: 'script' }) as Ast;
  const lines = oneLinesOf(program, source);
  for (const name of [...lines.keys()]) if (!names.includes(name)) lines.delete(name);
  const edits: Edit[] = [];
  const visit = (node: Ast, parent: Ast | undefined, scope: Scope): void => {
    const inner = isFunction(node) ? scopeOf(node, scope) : scope;
    if (node.type === 'CallExpression' && node.callee.type === 'Identifier') {
      const one = lines.get(node.callee.name);
      const text = one && !isLocal(scope, node.callee.name) && replacement(source, one, node, parent, scope);
      if (text) edits.push({ start: node.start, end: node.end, text });
    }
    for (const child of children(node)) visit(child, node, inner);
  };
  visit(program, undefined, scopeOf(program, undefined));
  return applied(source, edits, 0, source.length);
}

/** Replaces every one-line function that can be, one in another too, and removes what nobody calls any more. */
export function inlineAll(source: string): string {
  let text = source;
  for (let names = replaceable(text); names.length > 0; names = replaceable(text)) {
    const replaced = inline(text, names);
    const lines = oneLinesOf(parse(replaced, { ecmaVersion: 2022, sourceType: 'script' }) as Ast, replaced);
    const edits = names.map((name) => {
      const { start, end } = lines.get(name)!.node;
      return { start, end, text: '' };
    });
    text = applied(replaced, edits, 0, replaced.length);
  }
  return text;
}
