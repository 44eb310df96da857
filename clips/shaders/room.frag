#version 330
// A floor and a back wall square to the camera, found by following each pixel's ray.
uniform mat4 from_screen;
uniform vec3 eye_point, wall, floor_colour;
uniform int floor_kind;      // 0 boards, 1 plain, 2 mat
uniform float wall_m;        // distance of the wall behind the figure
in vec2 screen;
out vec4 colour;

float scatter(vec2 p) { return fract(sin(dot(p, vec2(12.9898, 78.233))) * 43758.5453); }

vec3 ground(vec3 f) {
    vec3 c = floor_colour;
    if (floor_kind == 0) {
        float plank = floor(f.x / 0.16);
        float shift = 3.0 * scatter(vec2(plank, 1.0));
        c *= 0.88 + 0.20 * scatter(vec2(plank, floor(f.y / 1.3 + shift)));
        c *= 1.0 - 0.25 * smoothstep(0.03, 0.0, fract(f.x / 0.16));
    } else if (floor_kind == 2) {
        bool on_mat = abs(f.x) < 1.1 && abs(f.y) < 0.9;
        c = on_mat ? c : vec3(0.62, 0.56, 0.48);
    }
    return c * (1.08 - 0.06 * length(f.xy));
}

void main() {
    vec4 far = from_screen * vec4(screen, 1.0, 1.0);
    vec3 ray = normalize(far.xyz / far.w - eye_point);
    vec2 away = normalize(-eye_point.xy);
    float reach = (wall_m - dot(eye_point.xy, away)) / max(dot(ray.xy, away), 1e-4);
    vec3 hit = eye_point + ray * reach;
    vec3 c;
    if (hit.z < 0.0 && ray.z < 0.0) {
        c = ground(eye_point - ray * eye_point.z / ray.z);
    } else {
        float along = dot(hit.xy, vec2(-away.y, away.x));
        c = wall * mix(0.90, 1.04, clamp(hit.z / 2.6, 0.0, 1.0));
        c *= 1.0 - 0.05 * smoothstep(0.6, 3.0, abs(along - 0.4));
        if (abs(along + 1.55) < 0.5 && abs(hit.z - 1.55) < 0.55) c *= 0.93;   // a board on the wall
        if (hit.z < 0.10) c = wall * 1.08;
    }
    colour = vec4(c, 1.0);
}
