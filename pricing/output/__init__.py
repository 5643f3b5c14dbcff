"""What people and programs get: workbook, tables, summary, papers for the packet, build.json, files of each command."""
