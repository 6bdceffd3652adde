// The first file outside the executable: only from here can modules be imported.
'use strict';
exports.run = async (root, args) => {
  const { standalone } = await import('./dist/main/standalone.js');
  process.exitCode = await standalone(root, args);
};
