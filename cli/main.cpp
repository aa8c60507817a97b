#include <iostream>

#include "cli/app.hpp"
#include "cli/interrupt.hpp"

int main(int argc, char** argv) {
    noonshell::install_interrupt_handlers();
    return noonshell::run_cli(argc, argv, std::cout, std::cerr);
}
