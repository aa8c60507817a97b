# The report page: npm makes one HTML file of the sources here, in the build folder; the program holds its bytes.
find_program(NOONSHELL_NPM npm)
find_program(NOONSHELL_NODE NAMES node nodejs)
if(NOT NOONSHELL_PAGE)
    return()
endif()
if(NOT NOONSHELL_NPM OR NOT NOONSHELL_NODE)
    message(WARNING "npm or node not found: the program will write no report.html")
    return()
endif()

set(page_from ${CMAKE_CURRENT_LIST_DIR})
set(page_dir ${CMAKE_BINARY_DIR}/page)
set(page_file ${page_dir}/dist/index.html)
file(GLOB_RECURSE page_sources CONFIGURE_DEPENDS ${page_from}/src/*)
list(APPEND page_sources ${page_from}/index.html ${page_from}/tsconfig.json ${page_from}/vite.config.ts)
set(page_packages ${page_from}/package.json ${page_from}/package-lock.json ${page_from}/.npmrc)

# Installed anew only when the lock file changes.
add_custom_command(OUTPUT ${page_dir}/installed
    COMMAND ${CMAKE_COMMAND} -E make_directory ${page_dir}
    COMMAND ${CMAKE_COMMAND} -E copy ${page_packages} ${page_dir}
    COMMAND ${NOONSHELL_NPM} ci --ignore-scripts --prefer-offline --no-audit --no-fund --loglevel=error
    COMMAND ${CMAKE_COMMAND} -E touch ${page_dir}/installed
    DEPENDS ${page_packages} WORKING_DIRECTORY ${page_dir} VERBATIM
    COMMENT "Installing the packages of the report page")
add_custom_command(OUTPUT ${page_file}
    COMMAND ${CMAKE_COMMAND} -E rm -rf ${page_dir}/src ${page_dir}/dist
    COMMAND ${CMAKE_COMMAND} -E copy_directory ${page_from}/src ${page_dir}/src
    COMMAND ${CMAKE_COMMAND} -E copy ${page_from}/index.html ${page_from}/tsconfig.json ${page_from}/vite.config.ts ${page_dir}
    COMMAND ${NOONSHELL_NPM} run --silent build
    DEPENDS ${page_dir}/installed ${page_sources} WORKING_DIRECTORY ${page_dir} VERBATIM
    COMMENT "Building the report page")

enable_language(ASM)
configure_file(${page_from}/page_bytes.S.in ${page_dir}/page_bytes.S @ONLY)
set_source_files_properties(${page_dir}/page_bytes.S PROPERTIES OBJECT_DEPENDS ${page_file})
target_sources(cli PRIVATE ${page_dir}/page_bytes.S)
set_source_files_properties(report.cpp PROPERTIES COMPILE_DEFINITIONS NOONSHELL_WITH_PAGE)
