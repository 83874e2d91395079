// Makes the page's types from what the server says of itself, or checks that those in the page are these.
//
//   npm run api            checks
//   npm run api -- --write writes crates/studio/web/api.d.ts

import { readFile, writeFile } from 'node:fs/promises';
import { fileURLToPath } from 'node:url';
import openapiTS, { astToString } from 'openapi-typescript';
import { startStudio } from './studio.js';

const TYPES = fileURLToPath(new URL('../../crates/studio/web/api.d.ts', import.meta.url));
const HEADING = `// The shapes that the server and the page send each other. Made from the server's own description of itself by
// \`npm run api -- --write\` in tests/browser; not to be changed by hand.

`;

const studio = await startStudio();
const document = await (await fetch(new URL('openapi.json', studio.address))).json();
await studio.clear();
// The page has a function for each request; of the description it needs the shapes alone.
document.paths = {};
const ast = await openapiTS(document, { arrayLength: true, rootTypes: true, rootTypesNoSchemaPrefix: true });
const made = HEADING + astToString(ast);
if (process.argv.includes('--write')) {
  await writeFile(TYPES, made);
} else if (made !== (await readFile(TYPES, 'utf8'))) {
  console.error('crates/studio/web/api.d.ts is not what the server says of itself. Run: npm run api --prefix tests/browser -- --write');
  process.exitCode = 1;
}
