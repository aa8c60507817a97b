// The edges of shadows: between the four nearest texels of the shadow map, straight lines each way.
// The library's own filter looks up seventeen for every point of the picture, which without a graphics
// card takes longer than all else in it.
import { ShaderChunk } from "three";

const sum_of_library = /shadow = \(\s*texture2DCompare\( shadowMap, shadowCoord\.xy \+ vec2\( dx0, dy0 \)[\s\S]*?\* \( 1\.0 \/ 17\.0 \);/;

const sum_of_four = `
    vec2 at = shadowCoord.xy * shadowMapSize - 0.5;
    vec2 part = fract( at );
    vec2 corner = ( floor( at ) + 0.5 ) * texelSize;
    float z = shadowCoord.z;
    shadow = mix(
        mix( texture2DCompare( shadowMap, corner, z ), texture2DCompare( shadowMap, corner + vec2( texelSize.x, 0.0 ), z ), part.x ),
        mix( texture2DCompare( shadowMap, corner + vec2( 0.0, texelSize.y ), z ), texture2DCompare( shadowMap, corner + texelSize, z ), part.x ),
        part.y );`;

/// Faces turned away from the sun are dark whatever stands before them.
const looked_up_by_library = "directLight.color *= ( directLight.visible && receiveShadow ) ? getShadow( directionalShadowMap";
const looked_up_if_faced = looked_up_by_library.replace("receiveShadow )", "receiveShadow && dot( geometryNormal, directLight.direction ) > 0.0 )");

/// Before the first material is compiled. A library that has changed keeps its own filter.
export function lighten_shadow_filter(): void {
    ShaderChunk.lights_fragment_begin = ShaderChunk.lights_fragment_begin.replace(looked_up_by_library, looked_up_if_faced);
    ShaderChunk.shadowmap_pars_fragment = ShaderChunk.shadowmap_pars_fragment.replace(sum_of_library, sum_of_four);
}
