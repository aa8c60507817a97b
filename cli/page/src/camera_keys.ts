// The keyboard turns, moves and zooms the camera as the pointer does.
import * as THREE from "three";
import type { OrbitControls } from "three/examples/jsm/controls/OrbitControls.js";

type Camera = THREE.PerspectiveCamera;

function turn(camera: Camera, controls: OrbitControls, azimuth: number, polar: number, zoom: number): void {
    const from = camera.position.clone().sub(controls.target);
    // Spherical coordinates have Y up, the model has Z up.
    const round = new THREE.Spherical().setFromVector3(new THREE.Vector3(from.x, from.z, -from.y));
    round.theta += azimuth;
    round.phi = Math.min(controls.maxPolarAngle, Math.max(0.02, round.phi + polar));
    round.radius = Math.min(controls.maxDistance, Math.max(controls.minDistance, round.radius * zoom));
    const to = new THREE.Vector3().setFromSpherical(round);
    camera.position.set(to.x, -to.z, to.y).add(controls.target);
}

function shift(camera: Camera, controls: OrbitControls, right_m: number, up_m: number): void {
    const by = new THREE.Vector3(right_m, up_m, 0).applyQuaternion(camera.quaternion);
    camera.position.add(by);
    controls.target.add(by);
}

const arrows: Record<string, [number, number]> = {
    ArrowLeft: [-1, 0],
    ArrowRight: [1, 0],
    ArrowUp: [0, 1],
    ArrowDown: [0, -1],
};

/// Whether the key moved the camera; `step_m` is how far Shift and an arrow move it.
export function moves_camera(event: KeyboardEvent, camera: Camera, controls: OrbitControls, step_m: number): boolean {
    const arrow = arrows[event.key];
    if (arrow && event.shiftKey) shift(camera, controls, arrow[0] * step_m, arrow[1] * step_m);
    else if (arrow) turn(camera, controls, arrow[0] * 0.1, -arrow[1] * 0.06, 1);
    else if (event.key === "+" || event.key === "=") turn(camera, controls, 0, 0, 0.9);
    else if (event.key === "-") turn(camera, controls, 0, 0, 1.1);
    else return false;
    controls.update();
    return true;
}
