// Definition before use. The interpreter does not hoist: a function called before its declaration has run is
// not found, and an assignment before its `var` writes to a global of that name.
import type { Identifier } from 'acorn';
import { type Ast, children, isFunction, isPropertyName } from './ast';
import { at, type Finding } from './finding';
import { bodyOf, type Declaration, declarationsFor, isConditional, type Scope, scopeOf } from './scope';

interface Search {
  source: string;
  strict: boolean;
  found: Finding[];
}

/** Whether an identifier is the name being declared rather than a use of it. */
function isDeclaredHere(node: Ast, parent: Ast | undefined): boolean {
  return (
    (parent?.type === 'VariableDeclarator' ||
      parent?.type === 'FunctionDeclaration' ||
      parent?.type === 'ClassDeclaration' ||
      parent?.type === 'ClassExpression') &&
    parent.id === node
  );
}

/** Whether the declaration has certainly run before the use, in the same function. */
function hasRun(declaration: Declaration, use: Ast, path: Ast[]): boolean {
  const { node, kind } = declaration;
  if (kind === 'param') return true;
  const end = kind === 'catch' ? node.start : node.end;
  return end <= use.start && declaration.path.every((part) => path.includes(part));
}

function where(search: Search, declaration: Declaration): string {
  const { line, column } = at(search.source, declaration.node.start);
  return `${line}:${column}`;
}

function report(search: Search, use: Identifier, sentence: string): void {
  search.found.push({ rule: 'order', ...at(search.source, use.start), sentence });
}

/** Strict order: a nested function may only use what the surrounding text has already declared. */
function checkOuter(search: Search, use: Identifier & Ast, from: Scope | undefined): void {
  for (let scope = from; scope; scope = scope.parent) {
    const declarations = declarationsFor(scope, use.name, use);
    if (declarations.length === 0) continue;
    const isEarlier = declarations.some(({ kind, node }) => kind === 'param' || node.start <= use.start);
    if (!isEarlier)
      report(search, use, `${use.name} is declared later, at ${where(search, declarations[0])}`);
    return;
  }
}

function checkUse(search: Search, use: Identifier & Ast, scope: Scope, path: Ast[]): void {
  const declarations = declarationsFor(scope, use.name, use);
  if (declarations.length === 0) {
    if (search.strict) checkOuter(search, use, scope.parent);
    return;
  }
  if (declarations.some((declaration) => hasRun(declaration, use, path))) return;
  const place = where(search, declarations[0]);
  report(search, use, `${use.name} is used where its declaration at ${place} has not certainly run`);
}

function visit(search: Search, node: Ast, scope: Scope, path: Ast[], parent?: Ast): void {
  if (isFunction(node)) {
    visitBody(search, node, scope);
    return;
  }
  if (node.type === 'Identifier') {
    if (!isPropertyName(node, parent) && !isDeclaredHere(node, parent)) checkUse(search, node, scope, path);
    return;
  }
  for (const child of children(node)) {
    const inner = isConditional(node, child) ? [...path, child] : path;
    visit(search, child, scope, inner, node);
  }
}

function visitBody(search: Search, owner: Ast, outer: Scope | undefined): void {
  const scope = scopeOf(owner, outer);
  const body = bodyOf(owner);
  // An arrow function's body may itself be a function or a bare name.
  if (body === owner) for (const child of children(body)) visit(search, child, scope, [], body);
  else visit(search, body, scope, [], owner);
}

/** Names used before their definition has certainly run. */
export function findDisorder(program: Ast, source: string, strict: boolean): Finding[] {
  const search: Search = { source, strict, found: [] };
  visitBody(search, program, undefined);
  return search.found;
}
