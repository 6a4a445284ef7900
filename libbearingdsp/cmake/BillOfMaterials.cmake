# bearingdsp_bill_of_materials(FILE): writes what the build is made of (NAME|VERSION|LICENCE in the global property
# BEARINGDSP_PARTS) as SPDX 2.3 (ISO/IEC 5962). Licences are those of the Debian 12 packages' copyright files, as SPDX names them.
function(bearingdsp_bill_of_materials file)
  set(packages "")
  set(relations "")
  set(empty_time "1970-01-01T00:00:00Z")
  if(DEFINED ENV{SOURCE_DATE_EPOCH})
    string(TIMESTAMP created "%Y-%m-%dT%H:%M:%SZ" UTC) # takes the variable
  else()
    set(created "${empty_time}") # the same build, the same bytes
  endif()
  get_property(parts GLOBAL PROPERTY BEARINGDSP_PARTS)
  foreach(row IN LISTS parts)
    string(REPLACE "|" ";" row "${row}")
    list(GET row 0 name)
    list(GET row 1 version)
    list(GET row 2 licence)
    if(version STREQUAL "")
      set(version "NOASSERTION")
    endif()
    string(APPEND packages ",
    {
      \"SPDXID\": \"SPDXRef-${name}\",
      \"name\": \"${name}\",
      \"versionInfo\": \"${version}\",
      \"downloadLocation\": \"NOASSERTION\",
      \"filesAnalyzed\": false,
      \"licenseConcluded\": \"${licence}\",
      \"licenseDeclared\": \"${licence}\",
      \"copyrightText\": \"NOASSERTION\"
    }")
    string(APPEND relations ",
    {
      \"spdxElementId\": \"SPDXRef-bearingdsp\",
      \"relationshipType\": \"DEPENDS_ON\",
      \"relatedSpdxElement\": \"SPDXRef-${name}\"
    }")
  endforeach()
  file(CONFIGURE OUTPUT "${file}" CONTENT [=[{
  "spdxVersion": "SPDX-2.3",
  "dataLicense": "CC0-1.0",
  "SPDXID": "SPDXRef-DOCUMENT",
  "name": "bearingdsp-@PROJECT_VERSION@",
  "documentNamespace": "urn:bearingdsp:@PROJECT_VERSION@",
  "creationInfo": {
    "created": "@created@",
    "creators": ["Organization: bearingdsp"]
  },
  "packages": [
    {
      "SPDXID": "SPDXRef-bearingdsp",
      "name": "bearingdsp",
      "versionInfo": "@PROJECT_VERSION@",
      "downloadLocation": "NOASSERTION",
      "filesAnalyzed": false,
      "licenseConcluded": "GPL-3.0-or-later",
      "licenseDeclared": "GPL-3.0-or-later",
      "copyrightText": "NOASSERTION"
    }@packages@
  ],
  "relationships": [
    {
      "spdxElementId": "SPDXRef-DOCUMENT",
      "relationshipType": "DESCRIBES",
      "relatedSpdxElement": "SPDXRef-bearingdsp"
    }@relations@
  ]
}
]=] @ONLY)
endfunction()
