# The three kinds of thing this project builds: a module, its test, a benchmark.
find_package(PkgConfig REQUIRED)
find_package(Eigen3 REQUIRED NO_MODULE)
find_package(fmt REQUIRED)
find_package(tl-expected REQUIRED)
find_package(nlohmann_json REQUIRED)
find_package(CLI11 REQUIRED)
find_package(GTest REQUIRED)
find_package(SQLite3 REQUIRED)
find_package(OpenSSL REQUIRED COMPONENTS Crypto)
pkg_check_modules(VIPS REQUIRED IMPORTED_TARGET vips)
pkg_check_modules(LCMS REQUIRED IMPORTED_TARGET lcms2)

set(CMAKE_CXX_STANDARD 20)
set(CMAKE_CXX_STANDARD_REQUIRED ON)
set(CMAKE_CXX_EXTENSIONS OFF)
set(CMAKE_EXPORT_COMPILE_COMMANDS ON)
set(CMAKE_POSITION_INDEPENDENT_CODE ON)

# Options structs are filled by designated initialisers: what is left out keeps its stated default.
add_library(platewise_warnings INTERFACE)
target_compile_options(platewise_warnings INTERFACE -Wall -Wextra -Wpedantic -Wshadow -Wconversion
                                                    -Wno-sign-conversion -Wno-missing-field-initializers
                                                    -Werror)
if(CMAKE_CXX_COMPILER_ID STREQUAL "GNU")
  # GCC 12 warns falsely about std::string's own operator+ at -O3 (GCC bug 105651).
  target_compile_options(platewise_warnings INTERFACE -Wno-restrict)
endif()
if(PLATEWISE_SANITIZE)
  target_compile_options(platewise_warnings INTERFACE -fsanitize=address,undefined
                                                      -fno-omit-frame-pointer)
  target_link_options(platewise_warnings INTERFACE -fsanitize=address,undefined)
endif()
if(PLATEWISE_FUZZ)
  target_compile_options(platewise_warnings INTERFACE -fsanitize=fuzzer-no-link)
endif()
if(CMAKE_BUILD_TYPE STREQUAL "Release")
  target_compile_options(platewise_warnings INTERFACE -fstack-protector-strong)
  target_compile_definitions(platewise_warnings INTERFACE _FORTIFY_SOURCE=2)
  target_link_options(platewise_warnings INTERFACE -Wl,-z,relro,-z,now)
endif()

# Library headers are SYSTEM: their warnings are not ours to fix.
function(platewise_module)
  cmake_parse_arguments(MODULE "" "NAME" "FILES;LINKS;PRIVATE_LINKS" ${ARGN})
  add_library(platewise_${MODULE_NAME} STATIC ${MODULE_FILES})
  target_include_directories(platewise_${MODULE_NAME}
                             PUBLIC "${PROJECT_SOURCE_DIR}/include"
                             PRIVATE "${CMAKE_CURRENT_SOURCE_DIR}")
  target_link_libraries(platewise_${MODULE_NAME} PUBLIC ${MODULE_LINKS}
                                                 PRIVATE platewise_warnings ${MODULE_PRIVATE_LINKS})
endfunction()

# One executable a module; the sources of the published figures lie beside the tests.
function(platewise_test)
  cmake_parse_arguments(TEST "" "NAME" "FILES;LINKS" ${ARGN})
  add_executable(${TEST_NAME}_test ${TEST_FILES})
  target_include_directories(${TEST_NAME}_test PRIVATE "${PROJECT_SOURCE_DIR}/tests")
  target_compile_definitions(${TEST_NAME}_test
                             PRIVATE PLATEWISE_TESTS_DIR="${PROJECT_SOURCE_DIR}/tests"
                                     PLATEWISE_TEST_IMAGES_DIR="${PROJECT_SOURCE_DIR}/test-images")
  target_link_libraries(${TEST_NAME}_test PRIVATE ${TEST_LINKS} platewise_warnings GTest::gtest
                                                  GTest::gmock GTest::gtest_main)
  if(PLATEWISE_SANITIZE AND CMAKE_CXX_COMPILER_ID STREQUAL "GNU")
    # GCC 12 warns falsely about its own <regex> under the sanitizers (GCC bug 105562).
    target_compile_options(${TEST_NAME}_test PRIVATE -Wno-maybe-uninitialized)
  endif()
  add_test(NAME ${TEST_NAME} COMMAND ${TEST_NAME}_test)
  set_tests_properties(${TEST_NAME} PROPERTIES TIMEOUT 900)
endfunction()

# Debian's OpenCV component packages carry no CMake or pkg-config file, so they are found by name.
find_path(OPENCV_INCLUDE_DIR opencv2/core.hpp PATH_SUFFIXES opencv4 REQUIRED)
add_library(platewise_opencv INTERFACE)
target_include_directories(platewise_opencv SYSTEM INTERFACE "${OPENCV_INCLUDE_DIR}")
add_library(platewise_opencv_geometry INTERFACE)
target_link_libraries(platewise_opencv_geometry INTERFACE platewise_opencv)
foreach(component core imgproc features2d calib3d)
  find_library(OPENCV_${component} opencv_${component} REQUIRED)
  if(component MATCHES "core|imgproc")
    target_link_libraries(platewise_opencv INTERFACE "${OPENCV_${component}}")
  else()
    target_link_libraries(platewise_opencv_geometry INTERFACE "${OPENCV_${component}}")
  endif()
endforeach()

# Compiles tables of data/ into a module as text: data/fault_causes.csv becomes
# `std::string_view data::fault_causes()`, declared in the generated "embedded_data.h" of that module.
# A change of a table builds the module anew.
function(platewise_data module)
  set(declarations "")
  set(definitions "")
  foreach(file IN LISTS ARGN)
    set(path "${PROJECT_SOURCE_DIR}/data/${file}")
    set_property(DIRECTORY APPEND PROPERTY CMAKE_CONFIGURE_DEPENDS "${path}")
    get_filename_component(name "${file}" NAME_WE)
    file(READ "${path}" text)
    string(APPEND declarations "std::string_view ${name}();\n")
    string(APPEND definitions "std::string_view ${name}() { return R\"platewise(${text})platewise\"; }\n")
  endforeach()
  set(folder "${CMAKE_CURRENT_BINARY_DIR}/embedded")
  file(CONFIGURE OUTPUT "${folder}/embedded_data.h" @ONLY CONTENT
       "#pragma once\n#include <string_view>\nnamespace platewise::data {\n@declarations@}\n")
  file(CONFIGURE OUTPUT "${folder}/embedded_data.cpp" @ONLY CONTENT
       "#include \"embedded_data.h\"\nnamespace platewise::data {\n@definitions@}\n")
  target_sources(platewise_${module} PRIVATE "${folder}/embedded_data.cpp")
  target_include_directories(platewise_${module} PRIVATE "${folder}")
endfunction()
