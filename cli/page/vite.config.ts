import { defineConfig } from "vite";
import { viteSingleFile } from "vite-plugin-singlefile";

export default defineConfig({
    plugins: [viteSingleFile({ removeViteModuleLoader: true })],
    build: { target: "es2022", modulePreload: false, reportCompressedSize: false },
    logLevel: "warn",
});
