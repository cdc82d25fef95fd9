import { moduleOf, resolvedFrom, type SourceFile } from './sources.ts';

/** What stands for every name of a file: `import * as`, `import()`, `export *`. */
const ALL = '*';

/** How one exported name is used: by the product, by tests alone, or by nobody. */
type Export = { readonly path: string; readonly name: string; readonly isType: boolean };

/**
 * Exported names of the product that the product itself does not import.
 *
 * A type, or a constant in capitals such as a limit, may be there for a test to name; anything else needs a caller.
 * @param files every code file of the project
 * @returns one line for each, `path name`, with who uses it
 */
export function exportFaults(files: readonly SourceFile[]): string[] {
  const used = { product: new Set<string>(), tests: new Set<string>() };
  for (const file of files) {
    const users = file.path.startsWith('tests/') ? used.tests : used.product;
    for (const { path, name } of namesUsedBy(file)) users.add(`${path} ${name}`);
  }
  passedOn(files, used);
  return files
    .filter(({ path }) => !path.startsWith('tests/'))
    .flatMap(exportsOf)
    .flatMap(({ path, name, isType }) => {
      const isUsedBy = (users: Set<string>) => users.has(`${path} ${name}`) || users.has(`${path} ${ALL}`);
      if (isUsedBy(used.product)) return [];
      if (!isUsedBy(used.tests)) return [`${path} ${name} is used by nobody`];
      return isType || /^[A-Z][A-Z0-9_]*$/.test(name) ? [] : [`${path} ${name} is used by tests alone`];
    });
}

function namesUsedBy(file: SourceFile): { path: string; name: string }[] {
  const found: { path: string; name: string }[] = [];
  const note = (target: unknown, name: string | null | undefined) => {
    if (typeof target === 'string') found.push({ path: resolvedFrom(file, target), name: name ?? ALL });
  };
  const { staticImports, staticExports } = moduleOf(file);
  for (const { moduleRequest, entries } of staticImports)
    for (const { importName } of entries) note(moduleRequest.value, importName.name);
  for (const { moduleRequest, importName } of staticExports.flatMap(({ entries }) => entries))
    if (importName.kind === 'Name') note(moduleRequest?.value, importName.name);
  // import() of a value or of a type, read as text: a syntax tree of every file would take seconds
  for (const [, target] of file.text.matchAll(/\bimport\(\s*'([^']+)'/g)) note(target, ALL);
  return found;
}

/** What a file exports of another by `export *` is used there where it is used here. */
function passedOn(files: readonly SourceFile[], used: Readonly<Record<string, Set<string>>>): void {
  for (const file of files)
    for (const { moduleRequest, importName } of moduleOf(file).staticExports.flatMap(
      ({ entries }) => entries,
    )) {
      if (moduleRequest === null || importName.kind === 'Name') continue;
      const from = resolvedFrom(file, moduleRequest.value);
      for (const users of Object.values(used))
        for (const one of [...users]) {
          const [path, name] = one.split(' ');
          if (path === file.path) users.add(`${from} ${name}`);
        }
    }
}

function exportsOf(file: SourceFile): Export[] {
  return moduleOf(file)
    .staticExports.flatMap(({ entries }) => entries)
    .flatMap(({ exportName: { name }, isType }) =>
      name === null ? [] : [{ path: file.path, name, isType }],
    );
}
