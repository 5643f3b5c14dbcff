"""Tables out of files, CSV and XLSX, opened defensively: orders and the studio's papers come in through here alike."""
