# Installs the library into the build folder (once for a lock file), lets it write its sun positions, and compares ours.
add_executable(sun_referee_tests ${CMAKE_CURRENT_SOURCE_DIR}/solar/sun_referee_test.cpp)
target_link_libraries(sun_referee_tests PRIVATE solar test_support)

find_program(NOONSHELL_NPM npm)
find_program(NOONSHELL_NODE NAMES node nodejs)
if(NOT NOONSHELL_NPM OR NOT NOONSHELL_NODE)
    message(WARNING "npm or node not found: the test solar.sun_referee will fail until it is installed")
    add_test(NAME solar.sun_referee
             COMMAND ${CMAKE_COMMAND} -P ${CMAKE_CURRENT_SOURCE_DIR}/solar/referee/npm_missing.cmake)
    return()
endif()

set(referee_dir ${CMAKE_BINARY_DIR}/referee)
set(referee_csv ${referee_dir}/sun_referee.csv)
foreach(file package.json package-lock.json sun_referee.mjs)
    configure_file(${CMAKE_CURRENT_SOURCE_DIR}/solar/referee/${file} ${referee_dir}/${file} COPYONLY)
endforeach()

add_test(NAME solar.sun_referee.install
         COMMAND sh -c "test node_modules/.package-lock.json -nt package-lock.json || exec '${NOONSHELL_NPM}' ci --ignore-scripts --prefer-offline --no-audit --no-fund"
         WORKING_DIRECTORY ${referee_dir})
add_test(NAME solar.sun_referee.write
         COMMAND ${NOONSHELL_NODE} sun_referee.mjs ${referee_csv}
         WORKING_DIRECTORY ${referee_dir})
add_test(NAME solar.sun_referee COMMAND sun_referee_tests)
set_tests_properties(solar.sun_referee.install PROPERTIES
    FIXTURES_SETUP sun_referee_library TIMEOUT 300)
set_tests_properties(solar.sun_referee.write PROPERTIES
    FIXTURES_REQUIRED sun_referee_library FIXTURES_SETUP sun_referee_positions TIMEOUT 60)
set_tests_properties(solar.sun_referee PROPERTIES
    FIXTURES_REQUIRED sun_referee_positions TIMEOUT 60
    ENVIRONMENT "NOONSHELL_SUN_REFEREE_CSV=${referee_csv}")
