// The model in three dimensions: painted, turned, picked, with the shadows of the chosen hour.
import * as THREE from "three";
import { OrbitControls } from "three/examples/jsm/controls/OrbitControls.js";
import { LineMaterial } from "three/examples/jsm/lines/LineMaterial.js";
import { LineSegments2 } from "three/examples/jsm/lines/LineSegments2.js";
import { LineSegmentsGeometry } from "three/examples/jsm/lines/LineSegmentsGeometry.js";
import { linear_value } from "./colour";
import { moves_camera } from "./camera_keys";
import { is_closed_outward } from "./closed_parts";
import type { Run } from "./data";
import { token } from "./dom";
import { draws_by_processor } from "./graphics";
import { MotionPace, still_after_ms } from "./motion_pace";
import { is_hourly, type Painter } from "./paint";
import { SkyDome } from "./sky_dome";
import type { State } from "./state";
import { direction_of, sun_at } from "./sun";

/// A unit, a shade or a body: its triangles as drawn, and the vertices of its edges.
interface Part {
    name: string;
    first: number;
    end: number;
    first_edge: number;
    end_edge: number;
    closed: boolean; // nobody sees its backs
}

/// What has the colours of its vertices; faces stand behind the lines of their edges.
function painted(side: THREE.Side): THREE.MeshLambertMaterial {
    return new THREE.MeshLambertMaterial({
        vertexColors: true,
        side,
        shadowSide: THREE.DoubleSide,
        polygonOffset: true,
        polygonOffsetFactor: 1,
        polygonOffsetUnits: 1,
    });
}

const crease_deg = 25;
const most_triangles_with_edges = 150_000;

/// Which body or unit a body is shown and hidden with.
export function group_of(run: Run, body: number): string {
    const told = run.bodies[body]!;
    return told.part_of ?? told.id;
}

export class ModelView {
    readonly canvas: HTMLCanvasElement;
    /// Told of the surface under the pointer.
    on_hover: (surface: number | null) => void = () => {};
    /// Told once, when the moving view has to be drawn coarser.
    on_slow: (by_processor: boolean) => void = () => {};
    private scene = new THREE.Scene();
    private camera = new THREE.PerspectiveCamera(32, 1, 0.1, 2000);
    private controls: OrbitControls;
    private sunlight = new THREE.DirectionalLight(0xffffff, 1);
    private even_light = new THREE.AmbientLight(0xffffff, 1);
    private from_above = new THREE.HemisphereLight(0xffffff, 0x8a8a8a, 1);
    private ground: THREE.Mesh;
    private parts: Part[] = [];
    private drawn: Uint32Array; // triangles of the scene in the order drawn
    private mesh = new THREE.Mesh(new THREE.BufferGeometry(), [painted(THREE.FrontSide), painted(THREE.DoubleSide)]);
    private lines = new THREE.LineSegments(new THREE.BufferGeometry(), new THREE.LineBasicMaterial({ transparent: true, opacity: 0.55 }));
    private chosen: LineSegments2;
    private dome: SkyDome;
    private middle = new THREE.Vector3();
    private radius_m: number;
    private waiting = false;
    private pace = new MotionPace();
    private still = 0; // timer of the end of a move; 0: the view rests
    private full_ratio = Math.min(2, window.devicePixelRatio || 1);

    constructor(
        private run: Run,
        private state: State,
        private painter: Painter,
        private host: HTMLElement,
        private renderer: THREE.WebGLRenderer,
        label: string,
    ) {
        this.renderer.setPixelRatio(this.full_ratio);
        this.canvas = this.renderer.domElement;
        this.canvas.tabIndex = 0;
        this.canvas.setAttribute("role", "img");
        this.canvas.setAttribute("aria-label", label);
        host.append(this.canvas);

        const box = new THREE.Box3().setFromArray(run.scene.positions_m);
        box.getCenter(this.middle);
        this.radius_m = Math.max(3, box.getSize(new THREE.Vector3()).length() / 2);
        this.drawn = new Uint32Array(run.scene.triangle_body.length);
        this.build_parts();
        this.ground = this.make_ground();
        this.chosen = new LineSegments2(
            new LineSegmentsGeometry(),
            new LineMaterial({ linewidth: 3.5, depthTest: false, transparent: true }),
        );
        this.chosen.renderOrder = 3;
        // What the model hides of the ground is not shaded.
        this.ground.renderOrder = 1;
        this.dome = new SkyDome(run, this.middle, this.radius_m);
        this.scene.add(this.ground, this.chosen, this.dome.group, this.even_light, this.from_above, this.sunlight);
        this.scene.add(this.sunlight.target);
        this.set_shadow_camera();

        this.camera.up.set(0, 0, 1);
        this.controls = new OrbitControls(this.camera, this.canvas);
        this.controls.maxPolarAngle = Math.PI * 0.54;
        this.controls.minDistance = this.radius_m * 0.4;
        this.controls.maxDistance = this.radius_m * 9;
        this.controls.zoomToCursor = true;
        // A finger that goes up or down scrolls the page, as anywhere on it.
        this.canvas.style.touchAction = "pan-y";
        this.look_from_start();
        this.controls.addEventListener("change", () => this.moved());
        this.listen();
        this.recolour_all();
        this.mark_chosen();
        state.on(["paint", "day", "hour", "plan"], () => this.repaint());
        state.on(["system"], () => this.repaint());
        state.on(["surface"], () => this.mark_chosen());
        state.on(["hidden"], () => this.show_parts());
        state.on(["dark"], () => this.recolour_all());
        new ResizeObserver(() => this.fit()).observe(host);
    }

    /// One mesh and one set of lines for all: of hundreds of bodies each would cost time in every
    /// picture. What is hidden is left out of their indices.
    private build_parts(): void {
        const { positions_m, triangles, triangle_body } = this.run.scene;
        const by_name = new Map<string, number[]>();
        for (let t = 0; t < triangle_body.length; ++t) {
            const name = group_of(this.run, triangle_body[t]!);
            const list = by_name.get(name);
            if (list) list.push(t);
            else by_name.set(name, [t]);
        }
        const with_edges = triangle_body.length <= most_triangles_with_edges;
        const corners = new Float32Array(triangle_body.length * 9);
        const edges: number[] = [];
        let first = 0;
        for (const [name, list] of by_name) {
            list.forEach((t, n) => {
                this.drawn[first + n] = t;
                for (let k = 0; k < 3; ++k) {
                    const v = triangles[t * 3 + k]! * 3;
                    corners.set(positions_m.subarray(v, v + 3), (first + n) * 9 + k * 3);
                }
            });
            const first_edge = edges.length / 3;
            if (with_edges) {
                const own = new THREE.BufferGeometry();
                own.setAttribute("position", new THREE.BufferAttribute(corners.slice(first * 9, (first + list.length) * 9), 3));
                for (const value of new THREE.EdgesGeometry(own, crease_deg).getAttribute("position").array) edges.push(value);
            }
            const closed = is_closed_outward(corners.subarray(first * 9, (first + list.length) * 9));
            this.parts.push({ name, first, end: first + list.length, first_edge, end_edge: edges.length / 3, closed });
            first += list.length;
        }
        const faces = this.mesh.geometry;
        faces.setAttribute("position", new THREE.BufferAttribute(corners, 3));
        faces.setAttribute("color", new THREE.BufferAttribute(new Float32Array(corners.length), 3));
        faces.computeVertexNormals();
        this.lines.geometry.setAttribute("position", new THREE.Float32BufferAttribute(edges, 3));
        this.mesh.castShadow = this.mesh.receiveShadow = true;
        this.index_shown();
        this.scene.add(this.mesh, this.lines);
    }

    private index_shown(): void {
        const faces: number[] = [];
        const edges: number[] = [];
        const shown = this.parts.filter((part) => !this.state.now.hidden.has(part.name));
        const add = (part: Part) => {
            for (let v = part.first * 3; v < part.end * 3; ++v) faces.push(v);
        };
        shown.filter((part) => part.closed).forEach(add);
        const n_closed = faces.length;
        shown.filter((part) => !part.closed).forEach(add);
        for (const part of shown) for (let v = part.first_edge; v < part.end_edge; ++v) edges.push(v);
        this.mesh.geometry.setIndex(faces);
        this.mesh.geometry.clearGroups();
        this.mesh.geometry.addGroup(0, n_closed, 0);
        this.mesh.geometry.addGroup(n_closed, faces.length - n_closed, 1);
        this.lines.geometry.setIndex(edges);
        this.mesh.visible = faces.length > 0;
        this.lines.visible = edges.length > 0;
    }

    private make_ground(): THREE.Mesh {
        const ground = new THREE.Mesh(
            new THREE.CircleGeometry(this.radius_m * 1.9, 96),
            new THREE.MeshLambertMaterial({ polygonOffset: true, polygonOffsetFactor: 2, polygonOffsetUnits: 2 }),
        );
        ground.position.set(this.middle.x, this.middle.y, this.run.scene.ground_z_m - 0.01);
        ground.receiveShadow = true;
        return ground;
    }

    private set_shadow_camera(): void {
        const reach = this.radius_m * 1.9;
        const box = this.sunlight.shadow.camera;
        Object.assign(box, { left: -reach, right: reach, top: reach, bottom: -reach, near: 0.1 });
        box.far = this.radius_m * 8;
        box.updateProjectionMatrix();
        this.sunlight.shadow.mapSize.set(2048, 2048);
        this.sunlight.shadow.bias = -0.0004;
        this.sunlight.shadow.normalBias = 0.04;
        this.sunlight.target.position.copy(this.middle);
        this.sunlight.castShadow = true;
        this.renderer.shadowMap.needsUpdate = true;
    }

    /// From the side that the noon sun shines on, a little to the east.
    look_from_start(): void {
        const south = this.run.summary.site.latitude_deg >= 0 ? 180 : 0;
        const [x, y, z] = direction_of(south - 38, 27, this.run.summary.site.north_deg);
        const away = this.radius_m * 4.1;
        this.controls.target.copy(this.middle);
        this.controls.target.z += this.radius_m * 0.2;
        this.camera.position.set(x, y, z).multiplyScalar(away).add(this.middle);
        this.controls.update();
        this.draw_soon();
    }

    private key(event: KeyboardEvent): void {
        if (event.ctrlKey || event.metaKey || event.altKey) return;
        if (event.key === "Home" || event.key === "0") this.look_from_start();
        else if (event.key === "Escape") this.state.set({ surface: null });
        else if (moves_camera(event, this.camera, this.controls, this.radius_m * 0.08)) this.moved();
        else return;
        event.preventDefault();
    }

    private listen(): void {
        this.canvas.addEventListener("keydown", (event) => this.key(event));
        let asked = false;
        this.canvas.addEventListener("pointermove", (event) => {
            if (asked || event.buttons !== 0) return;
            asked = true;
            requestAnimationFrame(() => {
                asked = false;
                this.on_hover(this.surface_under(event.clientX, event.clientY));
            });
        });
        this.canvas.addEventListener("pointerleave", () => this.on_hover(null));
        let down: { x: number; y: number } | null = null;
        this.canvas.addEventListener("pointerdown", (event) => (down = { x: event.clientX, y: event.clientY }));
        this.canvas.addEventListener("pointerup", (event) => {
            const still = down && Math.hypot(event.clientX - down.x, event.clientY - down.y) < 5;
            down = null;
            if (still) this.state.set({ surface: this.surface_under(event.clientX, event.clientY) });
        });
    }

    private surface_under(client_x: number, client_y: number): number | null {
        const frame = this.canvas.getBoundingClientRect();
        const at = new THREE.Vector2(
            ((client_x - frame.left) / frame.width) * 2 - 1,
            1 - ((client_y - frame.top) / frame.height) * 2,
        );
        const ray = new THREE.Raycaster();
        ray.setFromCamera(at, this.camera);
        const hit = this.mesh.visible ? ray.intersectObject(this.mesh, false)[0] : undefined;
        return hit?.face ? this.surface_of(this.drawn[hit.face.a / 3]!) : null;
    }

    private surface_of(triangle: number): number | null {
        const { triangle_facet, facet_surface } = this.run.scene;
        return facet_surface[triangle_facet[triangle]!] ?? null;
    }

    /// Where a surface shows on the screen, in client coordinates; null where it is out of sight.
    place_of(surface: number): { x: number; y: number } | null {
        const { positions_m, triangles, triangle_facet, facet_surface } = this.run.scene;
        const frame = this.canvas.getBoundingClientRect();
        for (let t = 0; t < triangle_facet.length; ++t) {
            if (facet_surface[triangle_facet[t]!] !== surface) continue;
            const at = new THREE.Vector3();
            for (let k = 0; k < 3; ++k)
                at.add(new THREE.Vector3().fromArray(positions_m, triangles[t * 3 + k]! * 3).divideScalar(3));
            at.project(this.camera);
            const x = frame.left + ((at.x + 1) / 2) * frame.width;
            const y = frame.top + ((1 - at.y) / 2) * frame.height;
            if (at.z < 1 && this.surface_under(x, y) === surface) return { x, y };
        }
        return null;
    }

    private repaint(): void {
        const now = this.state.now;
        const scale = this.painter.scale(now.paint);
        const of_surface = Float64Array.from(this.run.summary.surfaces, (_, s) =>
            this.painter.surface_value(now.paint, s, now),
        );
        const bare = new THREE.Color(token("--bare"));
        const { triangle_facet } = this.run.scene;
        const colours = this.mesh.geometry.getAttribute("color") as THREE.BufferAttribute;
        const values = colours.array as Float32Array;
        this.drawn.forEach((t, n) => {
            const value = this.painter.facet_value(triangle_facet[t]!, of_surface, now.paint);
            const rgb = this.painter.colour(value, scale);
            const r = rgb ? linear_value(rgb[0]) : bare.r;
            const g = rgb ? linear_value(rgb[1]) : bare.g;
            const b = rgb ? linear_value(rgb[2]) : bare.b;
            for (let i = n * 9; i < n * 9 + 9; i += 3) {
                values[i] = r;
                values[i + 1] = g;
                values[i + 2] = b;
            }
        });
        colours.needsUpdate = true;
        this.place_sun();
        this.draw_soon();
    }

    private place_sun(): void {
        const { day, hour, paint } = this.state.now;
        const sun = sun_at(this.run, day, hour);
        const hourly = is_hourly(paint);
        const lit = sun !== null && hourly;
        // Colours are read off the scale: light changes them little, and shadow a third at most.
        this.even_light.intensity = Math.PI * (hourly ? (sun ? 0.66 : 0.9) : 0.86);
        this.from_above.intensity = Math.PI * (hourly ? 0.06 : 0.14);
        // Put out, but never away, and with a shadow drawn each time: a picture without shadows after
        // one with them would leave out new colours (the library counts pictures between both).
        this.sunlight.intensity = lit ? Math.PI * 0.34 : 0;
        if (sun) {
            const to = direction_of(sun.azimuth_deg, sun.elevation_deg, this.run.summary.site.north_deg);
            this.sunlight.position
                .fromArray(to)
                .multiplyScalar(this.radius_m * 4)
                .add(this.middle);
        }
        this.renderer.shadowMap.needsUpdate = true;
        this.dome.set(day, hour, hourly);
    }

    private mark_chosen(): void {
        const { surface } = this.state.now;
        const { positions_m, triangles, triangle_body, triangle_facet, facet_surface } = this.run.scene;
        const corners: number[] = [];
        if (surface !== null) {
            for (let t = 0; t < triangle_facet.length; ++t) {
                if (facet_surface[triangle_facet[t]!] !== surface) continue;
                if (this.state.now.hidden.has(group_of(this.run, triangle_body[t]!))) continue;
                for (let k = 0; k < 3; ++k) {
                    const v = triangles[t * 3 + k]! * 3;
                    corners.push(...positions_m.subarray(v, v + 3));
                }
            }
        }
        const faces = new THREE.BufferGeometry();
        faces.setAttribute("position", new THREE.Float32BufferAttribute(corners, 3));
        this.chosen.geometry.dispose();
        this.chosen.visible = corners.length > 0;
        this.chosen.geometry = new LineSegmentsGeometry();
        if (corners.length > 0) this.chosen.geometry.fromEdgesGeometry(new THREE.EdgesGeometry(faces, crease_deg));
        this.draw_soon();
    }

    private show_parts(): void {
        this.index_shown();
        this.renderer.shadowMap.needsUpdate = true;
        this.mark_chosen();
    }

    private recolour_all(): void {
        this.scene.background = new THREE.Color(token("--sky"));
        (this.ground.material as THREE.MeshLambertMaterial).color.set(token("--ground"));
        this.chosen.material.color.set(token("--chosen"));
        this.lines.material.color.set(token("--edge"));
        this.dome.recolour();
        this.repaint();
    }

    fit(): void {
        this.frame(Math.max(1, this.host.clientWidth), Math.max(1, this.host.clientHeight));
        this.draw();
    }

    private frame(width: number, height: number): void {
        this.renderer.setSize(width, height, false);
        this.camera.aspect = width / height;
        // A narrow window still shows the whole width of the model.
        this.camera.fov = Math.min(62, 32 * Math.max(1, 1.25 / this.camera.aspect));
        this.camera.updateProjectionMatrix();
    }

    private draw_soon(): void {
        if (this.waiting) return;
        this.waiting = true;
        requestAnimationFrame(() => this.draw());
    }

    draw(): void {
        this.waiting = false;
        this.set_ratio(this.full_ratio * (this.moving ? this.pace.share : 1));
        this.lines.material.visible = !(this.moving && this.pace.is_coarsest);
        this.renderer.render(this.scene, this.camera);
    }

    /// Whether pictures may be coarser than they are at rest.
    get moving(): boolean {
        return this.still !== 0;
    }

    /// The camera did; what the reader looks at closely comes once it rests.
    private moved(): void {
        clearTimeout(this.still);
        this.still = window.setTimeout(() => {
            this.still = 0;
            this.draw_soon();
        }, still_after_ms);
        if (this.waiting) return;
        this.waiting = true;
        requestAnimationFrame((now) => {
            this.pace.drawn(now);
            if (this.pace.is_reduced) {
                this.on_slow(draws_by_processor(this.renderer));
                this.on_slow = () => {};
            }
            this.draw();
        });
    }

    private set_ratio(ratio: number): void {
        if (this.renderer.getPixelRatio() !== ratio) this.renderer.setPixelRatio(ratio);
    }

    /// The same view in a frame of another shape, for print.
    picture(width: number, height: number): string {
        clearTimeout(this.still);
        this.still = 0;
        this.set_ratio(1.5);
        this.lines.material.visible = true;
        this.frame(width, height);
        this.renderer.render(this.scene, this.camera);
        const image = this.canvas.toDataURL("image/png");
        this.fit();
        return image;
    }
}
