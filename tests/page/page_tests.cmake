# The report page in a browser: the demo is run once for a program, then its report is opened and looked at.
find_program(NOONSHELL_CHROMIUM chromium)
if(NOT NOONSHELL_PAGE OR NOONSHELL_SANITIZE)
    return()
endif()
if(NOT NOONSHELL_NPM OR NOT NOONSHELL_NODE OR NOT NOONSHELL_CHROMIUM)
    # In CI everything is installed: there it is a fault.
    set(why "page.report needs npm, node and chromium (Debian packages npm, nodejs, chromium)")
    message(WARNING "${why}: it is left out")
    add_test(NAME page.report COMMAND sh -c "echo '${why}'; [ \"$CI\" = true ] && exit 1 || exit 77")
    set_tests_properties(page.report PROPERTIES SKIP_RETURN_CODE 77)
    return()
endif()

set(page_tests ${CMAKE_BINARY_DIR}/page-tests)
set(page_test_results ${page_tests}/station)
foreach(file package.json package-lock.json .npmrc browser.mjs report_test.mjs names_test.mjs plan_test.mjs glb_test.mjs schemas_test.mjs)
    configure_file(${CMAKE_CURRENT_SOURCE_DIR}/page/${file} ${page_tests}/${file} COPYONLY)
endforeach()

add_test(NAME page.install
         COMMAND sh -c "test node_modules/.package-lock.json -nt package-lock.json || exec '${NOONSHELL_NPM}' ci --ignore-scripts --prefer-offline --no-audit --no-fund"
         WORKING_DIRECTORY ${page_tests})
add_test(NAME page.demo
         COMMAND sh -c "test station/report.html -nt $<TARGET_FILE:noonshell> || exec $<TARGET_FILE:noonshell> run ${CMAKE_SOURCE_DIR}/models/station.toml --out station --quiet"
         WORKING_DIRECTORY ${page_tests})
set_tests_properties(page.install PROPERTIES FIXTURES_SETUP page_packages TIMEOUT 300)
set_tests_properties(page.demo PROPERTIES FIXTURES_SETUP page_results TIMEOUT 900)
foreach(name report names plan glb schemas)
    add_test(NAME page.${name} COMMAND ${NOONSHELL_NODE} --test ${name}_test.mjs WORKING_DIRECTORY ${page_tests})
    set_tests_properties(page.${name} PROPERTIES
        FIXTURES_REQUIRED "page_packages;page_results" TIMEOUT 600 RUN_SERIAL TRUE
        ENVIRONMENT "NOONSHELL_RESULTS=${page_test_results};NOONSHELL_PROGRAM=$<TARGET_FILE:noonshell>;NOONSHELL_MODELS=${CMAKE_SOURCE_DIR}/models;NOONSHELL_SCHEMAS=${CMAKE_SOURCE_DIR}/cli/schemas;NOONSHELL_CHROMIUM=${NOONSHELL_CHROMIUM}")
endforeach()
