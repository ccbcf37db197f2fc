// A board runs one controller, a simulator thousands: the sources pass every function the core, the journal
// or the link it works on. In the firmware each of these exists once, so they become variables of the
// program: a parameter takes a memory cell as long as its function is in scope, and time in every call.
import ts from 'typescript';
import { BuildError } from './failure';

/** Interfaces of which the firmware creates one object, with one object literal. */
const SINGLE = ['Controller', 'Core', 'Inbox', 'Inputs', 'Journal', 'Link', 'Mqtt', 'Recorder', 'Settings'];

/** Name of the program's variable for the one object of an interface. */
function variableOf(name: string): string {
  return `the${name}`;
}

function placeOf(node: ts.Node): string {
  const file = node.getSourceFile();
  return `${file.fileName}:${file.getLineAndCharacterOfPosition(node.getStart()).line + 1}`;
}

/** Function declarations of the program that are also used as a value: they stay as they are. */
function keptAsValues(program: ts.Program, checker: ts.TypeChecker): Set<ts.Declaration> {
  const kept = new Set<ts.Declaration>();
  const visit = (node: ts.Node): void => {
    if (ts.isImportDeclaration(node) || ts.isExportDeclaration(node)) return;
    const isCallee =
      ts.isCallExpression(node.parent ?? node) && (node.parent as ts.CallExpression).expression === node;
    if (ts.isIdentifier(node) && !isCallee) {
      let symbol = checker.getSymbolAtLocation(node);
      if (symbol && symbol.flags & ts.SymbolFlags.Alias) symbol = checker.getAliasedSymbol(symbol);
      const declared = symbol?.valueDeclaration;
      if (declared && ts.isFunctionDeclaration(declared) && declared.name !== node) kept.add(declared);
    }
    ts.forEachChild(node, visit);
  };
  for (const file of program.getSourceFiles()) if (!file.isDeclarationFile) visit(file);
  return kept;
}

/** Replaces parameters of the interfaces in SINGLE, and fields that hold such an object, by variables. */
export class Singles {
  private readonly checker: ts.TypeChecker;
  private readonly kept: Set<ts.Declaration>;
  /** Interfaces whose one object literal has been seen. */
  private readonly made = new Set<string>();

  constructor(program: ts.Program) {
    this.checker = program.getTypeChecker();
    this.kept = keptAsValues(program, this.checker);
  }

  /** Variables that the program must declare before everything else. */
  variables(): string[] {
    return SINGLE.filter((name) => this.made.has(name)).map(variableOf);
  }

  readonly transformer: ts.TransformerFactory<ts.SourceFile> = (context) => (file) => {
    const visit = (node: ts.Node): ts.Node => {
      const replaced = this.replaced(node, context.factory);
      if (replaced) return replaced;
      const inner = ts.visitEachChild(node, visit, context);
      if (ts.isFunctionDeclaration(node))
        return this.withoutParameters(node, inner as ts.FunctionDeclaration, context);
      if (ts.isCallExpression(node)) return this.withoutArguments(node, inner as ts.CallExpression, context);
      if (ts.isObjectLiteralExpression(node))
        return this.noted(node, inner as ts.ObjectLiteralExpression, context);
      return inner;
    };
    return ts.visitNode(file, visit) as ts.SourceFile;
  };

  private isDropped(parameter: ts.ParameterDeclaration): boolean {
    const { parent, type } = parameter;
    if (!ts.isFunctionDeclaration(parent) || this.kept.has(parent)) return false;
    return type !== undefined && SINGLE.includes(type.getText());
  }

  /** The variable that replaces a removed parameter, or a field that holds a single object. */
  private replaced(node: ts.Node, factory: ts.NodeFactory): ts.Expression | undefined {
    if (ts.isIdentifier(node)) {
      const declared = this.checker.getSymbolAtLocation(node)?.valueDeclaration;
      if (!declared || !ts.isParameter(declared) || declared.name === node || !this.isDropped(declared))
        return;
      return factory.createIdentifier(variableOf(declared.type?.getText() ?? ''));
    }
    if (!ts.isPropertyAccessExpression(node)) return;
    const { parent } = node;
    if (ts.isBinaryExpression(parent) && parent.left === node) return;
    const name = this.checker.getTypeAtLocation(node).symbol?.name;
    return SINGLE.includes(name) ? factory.createIdentifier(variableOf(name)) : undefined;
  }

  private withoutParameters(
    node: ts.FunctionDeclaration,
    inner: ts.FunctionDeclaration,
    { factory }: ts.TransformationContext,
  ): ts.FunctionDeclaration {
    const parameters = inner.parameters.filter((_, i) => !this.isDropped(node.parameters[i]));
    return factory.updateFunctionDeclaration(
      inner,
      ...([inner.modifiers, inner.asteriskToken, inner.name, inner.typeParameters] as const),
      ...([parameters, inner.type, inner.body] as const),
    );
  }

  private withoutArguments(
    node: ts.CallExpression,
    inner: ts.CallExpression,
    { factory }: ts.TransformationContext,
  ): ts.CallExpression {
    const declared = this.checker.getResolvedSignature(node)?.declaration;
    if (!declared || !ts.isFunctionDeclaration(declared)) return inner;
    const dropped = declared.parameters.map((parameter) => this.isDropped(parameter));
    for (const argument of node.arguments.filter((_, i) => dropped[i]))
      if (!/^[\w.]+$/.test(argument.getText()))
        throw new BuildError('The firmware cannot share its single objects', [
          `${placeOf(argument)} "${argument.getText()}" is left out of the call, so it must be a plain name`,
        ]);
    const left = inner.arguments.filter((_, i) => !dropped[i]);
    return factory.updateCallExpression(inner, inner.expression, inner.typeArguments, left);
  }

  /** The object literal that creates a single object is also assigned to its variable. */
  private noted(
    node: ts.ObjectLiteralExpression,
    inner: ts.ObjectLiteralExpression,
    { factory }: ts.TransformationContext,
  ): ts.Expression {
    const name = this.checker.getContextualType(node)?.symbol?.name ?? '';
    if (!SINGLE.includes(name)) return inner;
    if (this.made.has(name))
      throw new BuildError('The firmware cannot share its single objects', [
        `${placeOf(node)} makes a second ${name}`,
      ]);
    this.made.add(name);
    return factory.createParenthesizedExpression(
      factory.createAssignment(factory.createIdentifier(variableOf(name)), inner),
    );
  }
}
