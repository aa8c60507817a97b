// The sun's paths about the model, the compass on the ground and the sun itself.
import * as THREE from "three";
import type { Run } from "./data";
import { token } from "./dom";
import { clock } from "./units";
import { compass_points, direction_of, hour_begin_min, suns_of_day, type Direction } from "./sun";

/// As large near as far; `size` is a part of the picture's height at its middle.
function letters(words: string, size: number): THREE.Sprite {
    const sprite = new THREE.Sprite(new THREE.SpriteMaterial({ transparent: true, sizeAttenuation: false }));
    sprite.userData.text = words;
    sprite.scale.set(size * 2.5, size, 1);
    return sprite;
}

function write(sprite: THREE.Sprite, colour: string): void {
    const canvas = document.createElement("canvas");
    canvas.width = 240;
    canvas.height = 96;
    const pen = canvas.getContext("2d")!;
    pen.fillStyle = colour;
    pen.font = `600 60px ${token("--sans") || "sans-serif"}`;
    pen.textAlign = "center";
    pen.textBaseline = "middle";
    pen.fillText(String(sprite.userData.text), 120, 50);
    const material = sprite.material;
    material.map?.dispose();
    material.map = new THREE.CanvasTexture(canvas);
    material.map.colorSpace = THREE.SRGBColorSpace;
    material.needsUpdate = true;
}

export class SkyDome {
    readonly group = new THREE.Group();
    private faint: THREE.Line[] = [];
    private compass: THREE.LineSegments;
    private names: THREE.Sprite[] = [];
    private hours: THREE.Sprite[] = [];
    private day_path = new THREE.Line(new THREE.BufferGeometry(), new THREE.LineBasicMaterial());
    private hour_dots = new THREE.Points(
        new THREE.BufferGeometry(),
        new THREE.PointsMaterial({ size: 5, sizeAttenuation: false }),
    );
    private sun: THREE.Mesh;
    private ray = new THREE.Line(
        new THREE.BufferGeometry(),
        new THREE.LineBasicMaterial({ transparent: true, opacity: 0.7 }),
    );
    private radius_m: number;
    private foot: THREE.Vector3;
    private shown_day = -1;

    constructor(
        private run: Run,
        private middle: THREE.Vector3,
        model_radius_m: number,
    ) {
        this.radius_m = model_radius_m * 1.32;
        this.foot = new THREE.Vector3(middle.x, middle.y, run.scene.ground_z_m + 0.02);
        for (const path of run.sun.paths) {
            const points = path.azimuth_deg.map((azimuth, i) => this.at(azimuth, path.elevation_deg[i]!));
            const line = new THREE.Line(
                new THREE.BufferGeometry().setFromPoints(points),
                new THREE.LineBasicMaterial({ transparent: true, opacity: 0.45 }),
            );
            this.faint.push(line);
        }
        this.compass = new THREE.LineSegments(this.compass_lines(), new THREE.LineBasicMaterial());
        this.sun = new THREE.Mesh(new THREE.SphereGeometry(model_radius_m * 0.055, 24, 16), new THREE.MeshBasicMaterial());
        for (const [name, azimuth] of compass_points) {
            const sprite = letters(name, 0.03);
            sprite.center.set(0.5, 0.1); // stands on the ground, which would hide its lower half
            sprite.position.copy(this.flat(azimuth, this.radius_m * 1.08));
            this.names.push(sprite);
        }
        this.group.add(...this.faint, this.compass, ...this.names, this.day_path, this.hour_dots, this.sun, this.ray);
    }

    private towards(azimuth: number, elevation: number): THREE.Vector3 {
        const to: Direction = direction_of(azimuth, elevation, this.run.summary.site.north_deg);
        return new THREE.Vector3(...to);
    }

    private at(azimuth: number, elevation: number): THREE.Vector3 {
        return this.towards(azimuth, elevation).multiplyScalar(this.radius_m).add(this.foot);
    }

    private flat(azimuth: number, radius_m: number): THREE.Vector3 {
        return this.towards(azimuth, 0).multiplyScalar(radius_m).add(this.foot);
    }

    private compass_lines(): THREE.BufferGeometry {
        const points: THREE.Vector3[] = [];
        for (let azimuth = 0; azimuth < 360; azimuth += 3) {
            points.push(this.flat(azimuth, this.radius_m), this.flat(azimuth + 3, this.radius_m));
            if (azimuth % 15 === 0) {
                const length = azimuth % 90 === 0 ? 0.05 : 0.02;
                points.push(this.flat(azimuth, this.radius_m), this.flat(azimuth, this.radius_m * (1 - length)));
            }
        }
        return new THREE.BufferGeometry().setFromPoints(points);
    }

    private draw_day(day: number): void {
        this.shown_day = day;
        const suns = suns_of_day(this.run, day);
        const places = suns.map((sun) => this.at(sun.azimuth_deg, sun.elevation_deg));
        const smooth =
            places.length > 2
                ? new THREE.CatmullRomCurve3(places.map((p) => p.clone().sub(this.foot)))
                      .getPoints(96)
                      .map((p) => p.setLength(this.radius_m).add(this.foot))
                : places;
        this.day_path.geometry.dispose();
        this.day_path.geometry = new THREE.BufferGeometry().setFromPoints(smooth);
        this.hour_dots.geometry.dispose();
        this.hour_dots.geometry = new THREE.BufferGeometry().setFromPoints(places);
        for (const old of this.hours) {
            old.material.map?.dispose();
            this.group.remove(old);
        }
        // The sun stands at a place in the middle of its hour: labels say when.
        this.hours = suns
            .filter((sun) => sun.hour % 3 === 0)
            .map((sun) => {
                const label = letters(clock(hour_begin_min(this.run, sun.hour) + 30), 0.022);
                label.position.copy(this.at(sun.azimuth_deg, sun.elevation_deg).sub(this.foot).multiplyScalar(1.07));
                label.position.add(this.foot);
                write(label, token("--quiet"));
                return label;
            });
        this.group.add(...this.hours);
    }

    set(day: number, hour: number, with_sun: boolean): void {
        if (day !== this.shown_day) this.draw_day(day);
        const sun = suns_of_day(this.run, day).find((s) => s.hour === hour);
        this.sun.visible = this.ray.visible = sun !== undefined && with_sun;
        this.day_path.visible = this.hour_dots.visible = with_sun;
        for (const label of this.hours) label.visible = with_sun;
        if (!sun) return;
        this.sun.position.copy(this.at(sun.azimuth_deg, sun.elevation_deg));
        this.ray.geometry.dispose();
        this.ray.geometry = new THREE.BufferGeometry().setFromPoints([this.sun.position, this.middle]);
    }

    recolour(): void {
        const line = token("--dome");
        for (const path of this.faint) (path.material as THREE.LineBasicMaterial).color.set(line);
        (this.compass.material as THREE.LineBasicMaterial).color.set(line);
        for (const name of this.names) write(name, token("--quiet"));
        for (const label of this.hours) write(label, token("--quiet"));
        const sun = token("--sun");
        (this.day_path.material as THREE.LineBasicMaterial).color.set(sun);
        (this.hour_dots.material as THREE.PointsMaterial).color.set(sun);
        (this.sun.material as THREE.MeshBasicMaterial).color.set(sun);
        (this.ray.material as THREE.LineBasicMaterial).color.set(sun);
    }
}
