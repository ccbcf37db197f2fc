// A board runs one controller, a simulator thousands: the sources pass every function the core, the journal
// or the link it works on. In the firmware each of these exists once, so they become variables of the
// program: a parameter takes a memory cell as long as its function is in scope, and time in every call. Their
// numbers go into one array for each object: a field takes one or two cells of 13 bytes and is found by its
// name, a place in the array takes four or eight bytes and is found by its number.
import ts from 'typescript';
import { BuildError } from './failure';

/** Interfaces of which the firmware creates one object, with one object literal. */
const SINGLE = ['Controller', 'Core', 'Inbox', 'Inputs', 'Journal', 'Link', 'Mqtt', 'Recorder', 'Settings'];

/** Arrays for objects whose numbers are all whole and in its range. Others hold instants, ms. */
const WHOLE: Record<string, string> = {
  Inputs: 'Int32Array',
  Journal: 'Uint32Array',
  Settings: 'Uint32Array',
};

/** Name of the program's variable for the one object of an interface. */
function variableOf(name: string): string {
  return `the${name}`;
}

/** Name of the array that holds the numbers of that object. */
function numbersOf(name: string): string {
  return `the${name}Numbers`;
}

const NUMERIC = ts.TypeFlags.NumberLike | ts.TypeFlags.EnumLiteral;

function isNumeric(type: ts.Type): boolean {
  return type.isUnion() ? type.types.every(isNumeric) : (type.flags & NUMERIC) !== 0;
}

/** Name of the interface in SINGLE that a type is, '' for any other. A member of an enum may have the same name. */
function singleOf(type: ts.Type | undefined): string {
  const symbol = type?.symbol;
  const isInterface = symbol !== undefined && (symbol.flags & ts.SymbolFlags.Interface) !== 0;
  return isInterface && SINGLE.includes(symbol.name) ? symbol.name : '';
}

function nameOfField(field: ts.ObjectLiteralElementLike): string {
  return field.name && ts.isIdentifier(field.name) ? field.name.text : '';
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
  /** Numeric fields of each object, in the order of its literal. */
  private readonly numbers = new Map<string, string[]>();

  constructor(program: ts.Program) {
    this.checker = program.getTypeChecker();
    this.kept = keptAsValues(program, this.checker);
    const visit = (node: ts.Node): void => {
      if (ts.isObjectLiteralExpression(node)) this.number(node);
      ts.forEachChild(node, visit);
    };
    for (const file of program.getSourceFiles()) if (!file.isDeclarationFile) visit(file);
  }

  /** Numbers the numeric fields of a single object by its literal. */
  private number(literal: ts.ObjectLiteralExpression): void {
    const type = this.checker.getContextualType(literal);
    const name = singleOf(type);
    if (!type || name === '' || this.numbers.has(name)) return;
    const isNumber = (field: ts.Symbol): boolean => isNumeric(this.checker.getTypeOfSymbol(field));
    const fields = type.getProperties().filter(isNumber);
    const names = literal.properties.map(nameOfField);
    this.numbers.set(
      name,
      names.filter((one) => fields.some((field) => field.name === one)),
    );
  }

  /** Place of a numeric field in its object's array; -1 for any other field. */
  private place(name: string, field: string): number {
    return this.numbers.get(name)?.indexOf(field) ?? -1;
  }

  /** Variables that the program must declare before everything else. */
  variables(): string[] {
    return SINGLE.filter((name) => this.made.has(name)).flatMap((name) =>
      this.numbers.get(name)?.length ? [variableOf(name), numbersOf(name)] : [variableOf(name)],
    );
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
    const place = this.placeIn(node, factory) ?? this.asNumbers(node, factory);
    if (place) return place;
    if (ts.isIdentifier(node)) {
      const declared = this.checker.getSymbolAtLocation(node)?.valueDeclaration;
      if (!declared || !ts.isParameter(declared) || declared.name === node || !this.isDropped(declared))
        return;
      return factory.createIdentifier(variableOf(declared.type?.getText() ?? ''));
    }
    if (!ts.isPropertyAccessExpression(node)) return;
    const { parent } = node;
    if (ts.isBinaryExpression(parent) && parent.left === node) return;
    const name = singleOf(this.checker.getTypeAtLocation(node));
    return name === '' ? undefined : factory.createIdentifier(variableOf(name));
  }

  /** The place in the array that replaces a numeric field. */
  private placeIn(node: ts.Node, factory: ts.NodeFactory): ts.Expression | undefined {
    if (!ts.isPropertyAccessExpression(node)) return undefined;
    const name = singleOf(this.checker.getTypeAtLocation(node.expression));
    const place = this.place(name, node.name.text);
    if (place < 0) return undefined;
    if (!/^[\w.]+$/.test(node.expression.getText()))
      throw new BuildError('The firmware cannot share its single objects', [
        `${placeOf(node)} "${node.expression.getText()}" is left out, so it must be a plain name`,
      ]);
    return factory.createElementAccessExpression(factory.createIdentifier(numbersOf(name)), place);
  }

  /** A single object passed as any `object`: its numbers are what the function finds in it. */
  private asNumbers(node: ts.Node, factory: ts.NodeFactory): ts.Expression | undefined {
    if (!ts.isIdentifier(node) && !ts.isPropertyAccessExpression(node)) return undefined;
    const { parent } = node;
    if (!parent || !ts.isCallExpression(parent) || parent.expression === node) return undefined;
    const name = singleOf(this.checker.getTypeAtLocation(node));
    const wanted = this.checker.getContextualType(node);
    if (name === '' || !wanted || !(wanted.flags & ts.TypeFlags.NonPrimitive)) return undefined;
    return factory.createIdentifier(numbersOf(name));
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
    const name = singleOf(this.checker.getContextualType(node));
    if (name === '') return inner;
    if (this.made.has(name))
      throw new BuildError('The firmware cannot share its single objects', [
        `${placeOf(node)} makes a second ${name}`,
      ]);
    this.made.add(name);
    const isNumber = (field: ts.ObjectLiteralElementLike): boolean =>
      this.place(name, nameOfField(field)) >= 0;
    const values = inner.properties
      .filter(isNumber)
      .map((field) => (field as ts.PropertyAssignment).initializer);
    const rest = inner.properties.filter((field) => !isNumber(field));
    const object = factory.createAssignment(
      factory.createIdentifier(variableOf(name)),
      factory.updateObjectLiteralExpression(inner, rest),
    );
    if (values.length === 0) return factory.createParenthesizedExpression(object);
    const type = factory.createIdentifier(WHOLE[name] ?? 'Float64Array');
    const array = factory.createNewExpression(type, undefined, [
      factory.createArrayLiteralExpression(values),
    ]);
    const numbers = factory.createAssignment(factory.createIdentifier(numbersOf(name)), array);
    return factory.createParenthesizedExpression(factory.createComma(numbers, object));
  }
}
