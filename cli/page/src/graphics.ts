// The graphics context of the picture.
import { PCFShadowMap, WebGLRenderer } from "three";
import { lighten_shadow_filter } from "./shadow_filter";

/// Whether the processor draws, for want of a graphics card or of leave to use it. Names of the known
/// programs that do; a browser may keep the name to itself.
export function draws_by_processor(renderer: WebGLRenderer): boolean {
    const gl = renderer.getContext();
    const told = gl.getExtension("WEBGL_debug_renderer_info");
    const name = String(gl.getParameter(told ? told.UNMASKED_RENDERER_WEBGL : gl.RENDERER));
    return /swiftshader|llvmpipe|softpipe|software|basic render/i.test(name);
}

/// Throws where the browser has none.
export function start_graphics(): WebGLRenderer {
    lighten_shadow_filter();
    const renderer = new WebGLRenderer({ antialias: true, preserveDrawingBuffer: true });
    // Asking for errors of shaders makes the browser wait for the graphics driver.
    renderer.debug.checkShaderErrors = false;
    renderer.shadowMap.enabled = true;
    renderer.shadowMap.type = PCFShadowMap;
    // Shadows move with the sun and with what is shown, not with the camera.
    renderer.shadowMap.autoUpdate = false;
    return renderer;
}
