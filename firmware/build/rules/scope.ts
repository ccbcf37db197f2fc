// Which names a function declares, where, and under which conditions that code runs.
import { type Ast, type AstFunction, children, isFunction } from './ast';

export type Kind = 'param' | 'function' | 'class' | 'catch' | 'var' | 'let' | 'const';

export interface Declaration {
  kind: Kind;
  node: Ast;
  /** The conditional parts around the declaration, outermost first; a use must be inside all of them. */
  path: Ast[];
  /** Block the name is limited to, unless it is the whole function. */
  block: Ast | undefined;
}

export interface Scope {
  parent: Scope | undefined;
  names: Map<string, Declaration[]>;
}

/** Whether an enclosing function declares the name, so that it does not refer to the program's. */
export function isLocal(scope: Scope | undefined, name: string): boolean {
  for (let s = scope; s?.parent; s = s.parent) if (s.names.has(name)) return true;
  return false;
}

const BLOCKS = ['BlockStatement', 'ForStatement', 'ForInStatement', 'ForOfStatement', 'SwitchStatement'];

/** Whether `child` runs only sometimes, or later than the rest, when `node` runs. */
export function isConditional(node: Ast, child: Ast): boolean {
  switch (node.type) {
    case 'IfStatement':
    case 'ConditionalExpression':
      return child !== node.test;
    case 'LogicalExpression':
      return child === node.right;
    case 'ForStatement':
      return child === node.body || child === node.update;
    case 'ForInStatement':
    case 'ForOfStatement':
    case 'WhileStatement':
      return child === node.body;
    case 'SwitchStatement':
      return child !== node.discriminant;
    case 'TryStatement':
      return true;
    default:
      return false;
  }
}

/** The part of a program or function that holds its statements. */
export function bodyOf(owner: Ast): Ast {
  return isFunction(owner) ? (owner.body as Ast) : owner;
}

interface Place {
  path: Ast[];
  block: Ast;
}

function add(scope: Scope, name: string, declaration: Declaration): void {
  const known = scope.names.get(name);
  if (known) known.push(declaration);
  else scope.names.set(name, [declaration]);
}

function addParameters(scope: Scope, owner: AstFunction): void {
  const declare = (name: string, node: Ast): void =>
    add(scope, name, { kind: 'param', node, path: [], block: undefined });
  for (const param of owner.params) if (param.type === 'Identifier') declare(param.name, param);
  if (owner.type === 'FunctionExpression' && owner.id) declare(owner.id.name, owner.id);
}

function addDeclared(scope: Scope, node: Ast, place: Place): void {
  const { path, block } = place;
  if (node.type === 'ClassDeclaration' && node.id)
    add(scope, node.id.name, { kind: 'class', node, path, block });
  if (node.type === 'CatchClause' && node.param?.type === 'Identifier')
    add(scope, node.param.name, { kind: 'catch', node: node.param, path: [...path, node], block: node });
  if (node.type !== 'VariableDeclaration') return;
  for (const one of node.declarations) {
    if (one.id.type !== 'Identifier') continue;
    const kind = node.kind as Kind;
    add(scope, one.id.name, { kind, node: one as Ast, path, block: kind === 'var' ? undefined : block });
  }
}

function collect(scope: Scope, node: Ast, place: Place): void {
  if (isFunction(node)) {
    if (node.type === 'FunctionDeclaration' && node.id)
      add(scope, node.id.name, { kind: 'function', node, path: place.path, block: undefined });
    return;
  }
  addDeclared(scope, node, place);
  const block = BLOCKS.includes(node.type) ? node : place.block;
  for (const child of children(node)) {
    const path = isConditional(node, child) ? [...place.path, child] : place.path;
    collect(scope, child, { path, block });
  }
}

/** Everything a program or function declares, not counting inner functions. */
export function scopeOf(owner: Ast, parent: Scope | undefined): Scope {
  const scope: Scope = { parent, names: new Map() };
  if (isFunction(owner)) addParameters(scope, owner);
  collect(scope, bodyOf(owner), { path: [], block: bodyOf(owner) });
  return scope;
}

/** Declarations of `name` in this scope that apply at `use`. */
export function declarationsFor(scope: Scope, name: string, use: Ast): Declaration[] {
  const all = scope.names.get(name) ?? [];
  return all.filter(({ block }) => !block || (block.start <= use.start && use.end <= block.end));
}
