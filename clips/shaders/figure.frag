#version 330
// Colours by part and by the place on the resting body, so that edges of cloth stay crisp.
uniform bool shadow;
uniform int part;
uniform vec3 light, eye_point;
uniform vec3 skin, hair, top, trousers, shoe;
uniform vec3 shadow_colour;
uniform vec3 eye_centre;     // of the left eye, resting
uniform float sleeve_x, arm_z, neck_z, hem_z, waist_z, trouser_z, sole_z;
uniform bool folds;
in vec3 at;
in vec3 facing;
in vec3 on_body;
out vec4 colour;

const int SKIN = 0, EYES = 1, TROUSERS = 2, TOP = 3, HAIR = 4, SHOE = 5, CAP = 6;

bool beyond_sleeve(vec3 p) {
    return abs(p.x) > sleeve_x && (p.z > arm_z || abs(p.x) > 0.30);
}

bool above_collar(vec3 p) {
    float scoop = p.y < -0.02 ? 0.035 * exp(-pow(p.x / 0.06, 2.0)) : 0.0;
    return p.z > neck_z - scoop;
}

// Down the forehead, along the temple above the ear, behind the ear to the nape.
float hairline(vec3 e) {
    return 0.062 - 0.034 * smoothstep(0.015, 0.05, e.y) - 0.105 * smoothstep(0.098, 0.128, e.y);
}

bool ear(vec3 e) { return e.x > 1.35 * eye_centre.x && e.z < 0.028; }

vec3 face(vec3 c, vec3 e) {
    float ax = e.x + eye_centre.x;               // distance from the middle of the face
    if (e.y > 0.035) return c;
    float brow = smoothstep(0.006, 0.003, abs(e.z - 0.024 + 0.12 * abs(ax - 0.034)));
    if (ax > 0.012 && ax < 0.054) c = mix(c, hair * 0.8, 0.85 * brow);
    float lips = smoothstep(0.010, 0.006, abs(e.z + 0.066)) * smoothstep(0.026, 0.020, ax);
    if (e.y < 0.0) c = mix(c, c * vec3(0.86, 0.62, 0.62), lips);
    if (abs(e.z + 0.066) < 0.0012 && ax < 0.022 && e.y < 0.0) c *= 0.6;
    c *= 1.0 - 0.28 * exp(-dot(e.xz, e.xz) / 0.00035);
    c = mix(c, c * vec3(1.06, 0.90, 0.88), 0.6 * exp(-dot(e.xz - vec2(0.012, -0.04), e.xz - vec2(0.012, -0.04)) / 0.0005));
    return c;
}

void main() {
    vec3 e = vec3(abs(on_body.x) - eye_centre.x, on_body.yz - eye_centre.yz);
    float gloss = 0.10;
    vec3 c = skin;
    if (part == TROUSERS) {
        if (on_body.z > waist_z || on_body.z < trouser_z || beyond_sleeve(on_body)) discard;
        c = trousers;
    } else if (part == TOP) {
        if (on_body.z < hem_z || above_collar(on_body) || beyond_sleeve(on_body)) discard;
        c = on_body.z < hem_z + 0.012 ? top * 0.82 : top;
    } else if (part == HAIR) {
        if (e.z < -0.11 || (e.y < 0.10 && e.z < 0.052)) discard;
        c = hair;
    } else if (part == CAP) {
        if (e.z < hairline(e) || ear(e)) discard;
        c = hair;
    } else if (part == SHOE) {
        c = on_body.z < sole_z ? vec3(0.86) : shoe;
    } else if (part == EYES) {
        float r = length(e.xz);
        c = r < 0.0030 ? vec3(0.03) : r < 0.0062 ? vec3(0.24, 0.15, 0.09) : vec3(0.90);
        gloss = 0.4;
    } else {
        c = face(skin, e);
    }
    if (shadow) {
        colour = vec4(shadow_colour, 1.0);
        return;
    }
    vec3 n = normalize(facing), to_eye = normalize(eye_point - at);
    if (dot(n, to_eye) < 0.0) n = -n;
    if (part == TOP && folds) {
        n = normalize(n + 0.16 * vec3(sin(46.0 * on_body.x + 17.0 * on_body.z), 0.0, sin(31.0 * on_body.z + 23.0 * on_body.x)));
        gloss = 0.03;
    }
    float key = max(dot(n, light), 0.0);
    float sky = 0.46 + 0.16 * n.z;
    float fill = 0.12 * max(dot(n, normalize(vec3(-light.xy, 0.3))), 0.0);
    float shine = gloss * pow(max(dot(n, normalize(light + to_eye)), 0.0), 22.0);
    colour = vec4(c * (sky + fill + 0.58 * key) + shine, 1.0);
}
