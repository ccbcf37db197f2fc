// Replaces calls of listed one-line functions by their bodies. A call costs the interpreter as much time as
// an ADC conversion, and one reading of the lamps takes up to a hundred of those.
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

/** The text that replaces the call, or undefined when it must stay. */
function replacement(source: string, one: OneLine, call: Ast, parent: Ast | undefined, scope: Scope) {
  if (call.type !== 'CallExpression' || call.arguments.length !== one.parameters.length) return undefined;
  if (!one.returns && parent?.type !== 'ExpressionStatement') return undefined;
  // Anything else might be evaluated more than once, or not at all.
  if (!call.arguments.every((a) => a.type === 'Identifier' || a.type === 'Literal')) return undefined;
  const edits: Edit[] = [];
  for (const variable of variablesIn(one.expression)) {
    const at = one.parameters.indexOf(variable.name);
    if (at >= 0) {
      const { start, end } = call.arguments[at];
      edits.push({ start: variable.start, end: variable.end, text: source.slice(start, end) });
    } else if (isLocal(scope, variable.name)) return undefined;
  }
  return `(${applied(source, edits, one.expression.start, one.expression.end)})`;
}

/**
 * Replaces every call of the functions in `names` that only evaluate one expression. A listed function that
 * does more, and a call whose meaning would change, stay as they are; the minifier drops what is unused.
 */
export function inline(source: string, names: string[]): string {
  const program = parse(source, { ecmaVersion: 2022, sourceType: 'script' }) as Ast;
  const lines = new Map<string, OneLine>();
  for (const node of children(program)) {
    const one = oneLineOf(node, source);
    if (one?.node.id && names.includes(one.node.id.name)) lines.set(one.node.id.name, one);
  }
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
