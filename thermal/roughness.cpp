#include "thermal/roughness.hpp"

namespace noonshell {

double forced_over_that_of_glass(Roughness roughness) {
    switch (roughness) {
        case Roughness::very_smooth:
            return 1.00;
        case Roughness::smooth:
            return 1.11;
        case Roughness::medium_smooth:
            return 1.13;
        case Roughness::medium_rough:
            return 1.52;
        case Roughness::rough:
            return 1.67;
        case Roughness::very_rough:
            return 2.17;
    }
    return 1;
}

}  // namespace noonshell
