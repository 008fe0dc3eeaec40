autocmd BufNewFile,BufRead *.bay setfiletype studbay
