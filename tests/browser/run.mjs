// node run.mjs SCENARIO ADDRESS [MORE ...]: plays one scenario, status 0 if all holds.

const [scenario, base, ...more] = process.argv.slice(2);
const { run } = await import(`./${scenario}.mjs`);
await run(base, more);
process.exit(0);
