"""The studio as a program that runs: started on a folder, asked for its addresses, ended."""

import subprocess


class Running:
    """`mahlstick studio` on a folder. Ended when it does not come up, so that nothing is left behind."""

    def __init__(self, program, folder, *more, addresses=1, environment=None):
        command = [program, "studio", "--folder", folder, "--port", "0", "--no-open", *more]
        self.process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, env=environment)
        self.addresses = []
        try:
            while len(self.addresses) < addresses:
                line = self.process.stdout.readline()
                assert line, self.process.stderr.read()
                self.addresses += [word.rstrip("/") for word in line.split() if word.startswith("http://")]
        except BaseException:
            self.stop()
            raise

    @property
    def address(self):
        return self.addresses[0]

    def stop(self):
        self.process.terminate()
        self.process.wait(10)
