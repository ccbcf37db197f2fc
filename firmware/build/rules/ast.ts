import type { AnyNode, Function as FunctionNode } from 'acorn';

export type Ast = AnyNode;
export type AstFunction = FunctionNode & Ast;

export function isFunction(node: Ast): node is AstFunction {
  return (
    node.type === 'FunctionDeclaration' ||
    node.type === 'FunctionExpression' ||
    node.type === 'ArrowFunctionExpression'
  );
}

function isNode(value: unknown): value is Ast {
  return typeof value === 'object' && value !== null && typeof (value as Ast).type === 'string';
}

/** The child nodes of a node in source order. */
export function children(node: Ast): Ast[] {
  const parts = Object.values(node).flat().filter(isNode);
  return parts.sort((a, b) => a.start - b.start);
}

/** Calls `visit` for a node and everything inside it, each with its parent. */
export function walk(node: Ast, visit: (node: Ast, parent: Ast | undefined) => void, parent?: Ast): void {
  visit(node, parent);
  for (const child of children(node)) walk(child, visit, node);
}

/** Whether an identifier is only the name of a property, method or key, not a variable. */
export function isPropertyName(node: Ast, parent: Ast | undefined): boolean {
  if (parent?.type === 'MemberExpression') return parent.property === node && !parent.computed;
  if (parent?.type === 'Property') return parent.key === node && !parent.computed && !parent.shorthand;
  if (parent?.type === 'MethodDefinition' || parent?.type === 'PropertyDefinition')
    return parent.key === node && !parent.computed;
  return false;
}
