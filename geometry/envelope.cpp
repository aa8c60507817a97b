#include "geometry/envelope.hpp"

namespace noonshell {

std::string_view to_string(SurfaceKind kind) {
    switch (kind) {
        case SurfaceKind::roof:
            return "roof";
        case SurfaceKind::wall:
            return "wall";
        case SurfaceKind::floor:
            return "floor";
        case SurfaceKind::soffit:
            return "soffit";
        case SurfaceKind::pane:
            return "pane";
        case SurfaceKind::shade:
            return "shade";
        case SurfaceKind::context:
            return "context";
        case SurfaceKind::ground:
            return "ground";
    }
    throw_invariant(__FILE__, __LINE__, "SurfaceKind is named",
                    std::to_string(static_cast<int>(kind)));
}

}  // namespace noonshell
