// Functions created in a loop that use a let or const of the loop's head: one binding for all iterations on
// the interpreter, one per iteration elsewhere.
import type { VariableDeclaration } from 'acorn';
import { type Ast, children, isFunction, isPropertyName } from './ast';

function headOf(node: Ast): VariableDeclaration | undefined {
  const head =
    node.type === 'ForStatement'
      ? node.init
      : node.type === 'ForInStatement' || node.type === 'ForOfStatement'
        ? node.left
        : undefined;
  return head?.type === 'VariableDeclaration' && head.kind !== 'var' ? head : undefined;
}

function captures(node: Ast, parent: Ast, names: Set<string>, isInside: boolean): Ast[] {
  const shadows =
    isFunction(node) && node.params.some((param) => param.type === 'Identifier' && names.has(param.name));
  if (shadows) return [];
  if (node.type === 'Identifier')
    return isInside && names.has(node.name) && !isPropertyName(node, parent) ? [node] : [];
  const inside = isInside || isFunction(node);
  return children(node).flatMap((child) => captures(child, node, names, inside));
}

/** Uses of the loop head's variables inside functions in its body. */
export function findLoopCaptures(node: Ast): Ast[] {
  const head = headOf(node);
  if (!head) return [];
  const names = new Set(
    head.declarations.flatMap((one) => (one.id.type === 'Identifier' ? [one.id.name] : [])),
  );
  return children(node).flatMap((part) => captures(part, node, names, false));
}
