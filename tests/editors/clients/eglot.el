;;; eglot.el --- Emacs' own client drives studbay lsp through a day's work on a plan  -*- lexical-binding: t; -*-

;;; Commentary:

;; emacs -Q --batch -l studbay-mode.el -l eglot.el PLAN.bay       $STUDBAY is the server

;;; Code:

(require 'eglot)
(require 'flymake)
(require 'xref)

(defvar studbay-test-step "start")

(defun studbay-test-fail (why)
  "End with WHY."
  (message "emacs: %s: %s" studbay-test-step why)
  (kill-emacs 1))

(defun studbay-test-wait (why what)
  "Wait until the function WHAT says so, else fail with WHY."
  (let ((end (+ (float-time) 20)))
    (while (not (funcall what))
      (when (> (float-time) end)
        (studbay-test-fail (format "%s: %s" why (mapcar #'flymake-diagnostic-text (flymake-diagnostics)))))
      (eglot--signal-textDocument/didChange) ; in batch nothing is ever idle
      (accept-process-output nil 0.05))))

(defun studbay-test-count ()
  "How many errors and warnings there are."
  (let ((n 0))
    (dolist (d (flymake-diagnostics) n)
      (unless (eq (flymake-diagnostic-type d) 'eglot-note) (setq n (1+ n))))))

(defun studbay-test-has (words)
  "Whether WORDS stand in the plan."
  (save-excursion (goto-char (point-min)) (search-forward words nil t)))

(setq studbay-program (getenv "STUDBAY")
      eglot-sync-connect 20
      eglot-autoshutdown nil
      eglot-confirm-server-initiated-edits nil
      make-backup-files nil)

(condition-case err
    (with-current-buffer (find-file-noselect (car command-line-args-left))
      (unless (eq major-mode 'studbay-mode) (studbay-test-fail (symbol-name major-mode)))
      (apply #'eglot (eglot--guess-contact))
      (setq studbay-test-step "open")
      (flymake-mode 1)
      (studbay-test-wait "no finding" (lambda () (flymake-start) (= (studbay-test-count) 1)))

      (setq studbay-test-step "mend")
      (goto-char (point-min))
      (search-forward "-> LL1")
      (let* ((actions (jsonrpc-request
                       (eglot--current-server-or-lose) :textDocument/codeAction
                       (list :textDocument (eglot--TextDocumentIdentifier)
                             :range (list :start (eglot--pos-to-lsp-position (- (point) 3)) :end (eglot--pos-to-lsp-position (point)))
                             :context (list :diagnostics
                                            (vconcat (delq nil (mapcar (lambda (d) (cdr (assoc 'eglot-lsp-diag (eglot--diag-data d))))
                                                                       (flymake-diagnostics))))))))
             (mend (seq-find (lambda (a) (and (equal (plist-get a :kind) "quickfix") (plist-get a :edit)
                                              (string-match-p "L1" (plist-get a :title))))
                             actions)))
        (unless mend (studbay-test-fail (format "no quick fix in %S" actions)))
        (eglot--apply-workspace-edit (plist-get mend :edit) nil))
      (unless (studbay-test-has "shed.S1 -> L1\n") (studbay-test-fail (buffer-string)))
      (studbay-test-wait "still a finding" (lambda () (flymake-start) (= (studbay-test-count) 0)))

      (setq studbay-test-step "rename")
      (goto-char (point-min))
      (search-forward "box S1")
      (backward-char 1)
      (eglot-rename "S7")
      (unless (and (studbay-test-has "box S7  south") (studbay-test-has "shed.S7 -> L1")) (studbay-test-fail (buffer-string)))

      (setq studbay-test-step "format")
      (let ((before (buffer-string)))
        (goto-char (point-min))
        (search-forward "  kind storage")
        (replace-match "     kind    storage")
        (eglot-format-buffer)
        (unless (equal (buffer-string) before) (studbay-test-fail (buffer-string))))

      (setq studbay-test-step "definition")
      (goto-char (point-min))
      (search-forward "shed.S7")
      (backward-char 1)
      (let ((found (xref-backend-definitions 'eglot (xref-backend-identifier-at-point 'eglot))))
        (unless (and found (= (xref-location-line (xref-item-location (car found))) 8))
          (studbay-test-fail (format "%S" found))))

      (setq studbay-test-step "close")
      (eglot-shutdown (eglot--current-server-or-lose))
      (when (eglot-current-server) (studbay-test-fail "the server runs on"))
      (set-buffer-modified-p nil)
      (message "emacs: opened, mended, renamed, formatted, asked, closed")
      (kill-emacs 0))
  (error (studbay-test-fail (format "%S" err))))

;;; eglot.el ends here
