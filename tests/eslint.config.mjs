// The rules for the viewer's modules and their tests. Run from the repository's top: the patterns count from there.
import js from "@eslint/js";
import globals from "globals";

export default [
  { ignores: ["tests/browser/.site/**"] },
  js.configs.recommended,
  {
    files: ["**/*.js", "**/*.mjs"],
    rules: {
      eqeqeq: "error",
      "no-var": "error",
      "prefer-const": "error",
      "no-shadow": "error",
      "no-implicit-globals": "error",
      "max-lines-per-function": ["error", { max: 50 }],
    },
  },
  { files: ["static/**/*.js"], languageOptions: { globals: globals.browser } },
  {
    files: ["tests/**/*.mjs"],
    languageOptions: { globals: { ...globals.node, ...globals.browser } },
    rules: { "max-lines-per-function": "off" },
  },
];
